#!/usr/bin/env python3
"""Processor seconds for one, two and four times as much of one thing: growth.py PROGRAM
A measurement, not a test: what must grow linearly is counted in tests/hostile/growth.rs."""
import os, pathlib, resource, shutil, subprocess, sys, tempfile

PLATE = """format: 1

[ct]
id: {id}
standard: IEC 61869-2:2012
highest voltage: 145 kV
frequency: 50 Hz
{place}
[core 1S]
use: protection
{core}
"""
CORE = "class: 5P20\nratio: 600/1 A\nburden: 15 VA"
SET = "\n[place since 2026-01-01]\nsite: X\nset: one\nphase: L1\n"
VISIT = "\n[visit 2026-03-14]\npurpose: commissioning\n"
WINDING = "\n[resistance 1S1-1S2]\nwires: 4\ntemperature: 20 C\ncurrent/A  voltage/V\n1.0000  2.50000\n"


def plate(at=0, place="", core=CORE):
    return PLATE.format(id=f"A{at}", place=place, core=core)


def used():
    times = resource.getrusage(resource.RUSAGE_CHILDREN)
    return times.ru_utime + times.ru_stime


def run(program, *arguments):
    before = used()
    with open(os.devnull, "w") as none:
        subprocess.run([program, *arguments], stdout=none, stderr=none)
    return used() - before


def one(folder, text):
    path = folder / "one.ctr"
    path.write_text(text)
    return path


def job(folder, count, record):
    shutil.rmtree(folder)
    folder.mkdir()
    for at in range(count):
        (folder / f"c{at:05}.ctr").write_text(record(at))
    (folder / "pack.toml").write_text('records = ["*.ctr"]\n')
    return folder


def cases(folder, out):
    """Name, how many, and the arguments for so many."""
    rows = "\n[burden 1S1-1S2]\nloop  current/A  voltage/V  angle/deg\n"
    again = "\n[visit 2026-04-14]\npurpose: retest\n"
    yield "burden rows", 8000, lambda n: (
        "check", one(folder, plate() + VISIT + rows + "phase-neutral  1.000  3.1  10\n" * n))
    yield "actions and closings", 1000, lambda n: (
        "report", one(folder, plate() + VISIT + "".join(f"action: do {i}\n" for i in range(n))
                      + again + "".join(f"closed: do {i}\n" for i in range(n))), "-o", out)
    yield "columns of a heading", 32000, lambda n: (
        "check", one(folder, plate() + VISIT + "\n[excitation 1S1-1S2]\n" + "voltage/V  " * n + "\n1  2\n"))
    yield "sisters of one set", 500, lambda n: (
        "check", job(folder, n, lambda i: plate(i, SET) + VISIT + WINDING))
    yield "distinct CTs of a pack", 1000, lambda n: (
        "pack", job(folder, n, lambda i: plate(i) + VISIT + WINDING) / "pack.toml", "-o", out)
    yield "a plate that nobody lends", 1000, lambda n: (
        "check", job(folder, n, lambda i: plate(i, core=CORE if i else "like: NOBODY")))
    yield "a chain of plates", 500, lambda n: (
        "check", job(folder, n, lambda i: plate(i, core=f"like: A{i - 1}" if i else CORE)))


def main(program):
    with tempfile.TemporaryDirectory() as place:
        folder, out = pathlib.Path(place) / "job", pathlib.Path(place) / "out"
        folder.mkdir()
        for name, count, arguments in cases(folder, out):
            took = []
            for n in (count, 2 * count, 4 * count):
                shutil.rmtree(out, ignore_errors=True)
                took.append(f"{run(program, *map(str, arguments(n))):.2f}")
            print(f"| {name} | {count:,} | {' | '.join(took)} |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
