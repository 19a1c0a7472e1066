#!/usr/bin/env python3
"""A fleet of N invented CTs to be asked: fleet.py N FOLDER. The job of tests/bench/load.py, each CT with a duty and
with a visit five years before; prints the ids of those whose winding resistance moved since, about one of fifty."""
import importlib.util, pathlib, random, re, sys

HERE = pathlib.Path(__file__).resolve().parent
of = importlib.util.spec_from_file_location("load", HERE.parent / "bench" / "load.py")
load = importlib.util.module_from_spec(of)
of.loader.exec_module(load)


COPPER = 234.5  # its resistance is nought at minus so many degrees; common practice, no source


def record(at):
    """Its text, and whether its resistance moved."""
    dice = random.Random(at + 2_000_000)
    text = load.record(at).replace("[place since 2026-01-01]", "[place since 2020-01-01]")
    now = re.search(r"temperature: ([0-9.]+) C\ncurrent/A  voltage/V\n1\.0000  ([0-9.]+)\n", text)
    celsius, ohm = map(float, now.groups())
    is_moved = dice.random() < 0.02
    ohm *= (COPPER + 12) / (COPPER + celsius) * (dice.choice([0.92, 1.09]) if is_moved else dice.uniform(0.99, 1.01))
    earlier = f"""[duty S since 2020-01-01]
fault current: {dice.choice([12.5, 16, 25, 40])} kA
x/r: 14
burden: {dice.uniform(0.3, 1.5):.2f} ohm

[visit 2021-03-04]
purpose: maintenance
ambient: 12.0 C

[resistance S1-S2]
wires: 4
temperature: 12.0 C
current/A  voltage/V
1.0000  {ohm:.5f}

"""
    return text.replace("[visit 2026-03-04]", earlier + "[visit 2026-03-04]"), is_moved


if __name__ == "__main__":
    folder = pathlib.Path(sys.argv[2])
    (folder / "r").mkdir(parents=True)
    for at in range(int(sys.argv[1])):
        text, is_moved = record(at)
        (folder / "r" / f"ct-{at:05}.ctr").write_text(text)
        if is_moved:
            print(f"CT-{at:05}")
