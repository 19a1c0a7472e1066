#!/usr/bin/env python3
"""A job of N invented one-core CTs, to be measured on: load.py N FOLDER. Three phases of a bay are sisters. Each has
25 readings of the excitation characteristic, the ratio at 5 currents, winding and insulation resistance and a burden."""
import pathlib, random, sys

CLASSES = [("metering", "0.2S", 10), ("metering", "0.5", 15), ("protection", "5P20", 30), ("protection", "PX", None)]
RATED = [200, 600, 1200, 2000]
SHARES = {"metering": [0.01, 0.05, 0.2, 1.0, 1.2], "protection": [0.1, 0.3, 0.5, 1.0, 1.2]}

PACK = """records = ["r/*.ctr"]
order = ["site", "bay", "phase"]
[report]
number = "L-1"
revision = "A"
issued = 2026-03-30
title = "Job of a measurement"
[client]
name = "Client"
[contractor]
name = "Contractor"
[job]
name = "Job"
"""


def record(at):
    """The text of one CT: the same for the same place in the job, whatever the size of the job."""
    dice = random.Random(at // 3)  # sisters are of one kind
    use, name, burden = CLASSES[dice.randrange(4)]
    rated, amps = dice.choice(RATED), dice.choice([1, 5])
    turns, knee = rated / amps, dice.uniform(200, 900) / amps
    dice = random.Random(at + 1_000_000)
    near = lambda share: dice.uniform(1 - share, 1 + share)
    knee *= near(0.02)
    at_knee = 0.02 / amps * near(0.1)
    ohm = 0.002 * turns * near(0.03)
    lines = f"""format: 1

[ct]
id: CT-{at:05}
maker: Nobody
serial: S{at:07}
year: 2020
standard: IEC 61869-2:2012
highest voltage: 72.5 kV
frequency: 50 Hz
insulation: oil and paper
primary turns: 1

[place since 2026-01-01]
site: Site {at // 36:04}
bay: Bay {at // 3 % 12}
phase: L{at % 3 + 1}

[core S]
use: {use}
class: {name}
ratio: {rated}/{amps} A
{f"burden: {burden} VA" if burden else f"knee emf: {0.9 * knee:.1f} V"}

[visit 2026-03-04]
purpose: maintenance
tested by: N. N.
ambient: {dice.uniform(5, 25):.1f} C
humidity: 50 %

[insulation]
temperature: {dice.uniform(5, 25):.1f} C
between  voltage/V  time/s  resistance/Mohm
primary to cores and earth  5000  60  {dice.uniform(800, 40000):.0f}
S to primary, cores and earth  1000  60  {dice.uniform(200, 9000):.0f}

[resistance S1-S2]
wires: 4
temperature: {dice.uniform(5, 25):.1f} C
current/A  voltage/V
1.0000  {ohm:.5f}

[demagnetisation S1-S2]
start: {1.2 * knee:.1f} V
end: 0 V

[excitation S1-S2]
voltmeter: mean
voltage/V  current/A
""".splitlines()
    for step in range(25):
        part = 0.02 * (1.15 / 0.02) ** (step / 24)
        current = at_knee * (0.2 * part + 0.8 * part**0.6 * 0.3 + 0.5 * part**18) * near(0.003)
        lines.append(f"{part * knee:.3f}  {current:.5g}")
    lines += ["", "[ratio S1-S2]", "method: current", "burden: connected", "primary/A  secondary/A  phase/arcmin"]
    for share in SHARES[use]:
        off = dice.uniform(-0.2, 0.2) / 100 / share**0.3
        lines.append(f"{share * rated:.2f}  {share * amps * (1 + off):.7f}  {abs(dice.gauss(4, 2)) / share**0.3:.2f}")
    va = (burden or 15) * dice.uniform(0.2, 1.1)
    lines += ["", "[burden S1-S2]", "loop  current/A  voltage/V  angle/deg",
              f"phase-neutral  {amps:.3f}  {va / amps:.4f}  {dice.uniform(5, 30):.1f}", ""]
    return "\n".join(lines)


def job(count, folder):
    """Writes so many, and the pack.toml."""
    folder = pathlib.Path(folder)
    (folder / "r").mkdir(parents=True)
    for at in range(count):
        (folder / "r" / f"ct-{at:05}.ctr").write_text(record(at))
    (folder / "pack.toml").write_text(PACK)
    return folder


if __name__ == "__main__":
    job(int(sys.argv[1]), sys.argv[2])
