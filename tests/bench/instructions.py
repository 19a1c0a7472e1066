#!/usr/bin/env python3
"""How many instructions the program takes, counted by valgrind: instructions.py PROGRAM [--growth | --stages]
The same on every machine but for the compiler and its libraries, so that CI holds them: twice as much of anything takes
twice as many, and no CT takes more than it did."""
import os, pathlib, re, shutil, subprocess, sys, tempfile
import load

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

# From n to 2n and from 2n to 4n: twice the further work when it is linear, four times when it is quadratic.
MOST_GROWTH = 2.4

# Thousand instructions, of a release build: of one CT more in a job, and of a whole run with one record.
STAGES = {"check, each CT": 2_065, "pack, each CT": 10_254, "check, one record": 5_427, "report, one record": 13_600}
MOST_ABOVE = 1.1


def counted(program, *arguments):
    """Instructions of one run on one thread."""
    tool = ["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"]
    with tempfile.TemporaryDirectory() as none:  # nothing was put by
        alone = dict(os.environ, RAYON_NUM_THREADS="1", XDG_CACHE_HOME=none)
        run = subprocess.run([*tool, program, *map(str, arguments)], env=alone, stdout=subprocess.DEVNULL,
                             stderr=subprocess.PIPE, text=True)
    told = re.search(r"I\s+refs:\s+([\d,]+)", run.stderr)
    if run.returncode not in (0, 1, 2) or not told:
        sys.exit(f"{program} {arguments}: {run.stderr}")
    return int(told.group(1).replace(",", ""))


def plate(at=0, place="", core=CORE):
    return PLATE.format(id=f"A{at}", place=place, core=core)


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


def growing(folder, out):
    """Name, how many, and the arguments for so many."""
    rows = "\n[burden 1S1-1S2]\nloop  current/A  voltage/V  angle/deg\n"
    readings = "\n[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V  current/mA\n"
    again = "\n[visit 2026-04-14]\npurpose: retest\n"
    yield "burden rows", 500, lambda n: (
        "check", one(folder, plate() + VISIT + rows + "phase-neutral  1.000  3.1  10\n" * n))
    yield "readings of a curve", 250, lambda n: (
        "check", one(folder, plate() + VISIT + readings + "".join(
            f"{10 + 400 * i / n:.3f}  {1 + 30 * i / n + 1e-9 * (400 * i / n) ** 4:.4f}\n" for i in range(n))))
    yield "actions and closings", 200, lambda n: (
        "report", one(folder, plate() + VISIT + "".join(f"action: do {i}\n" for i in range(n))
                      + again + "".join(f"closed: do {i}\n" for i in range(n))), "-o", out)
    yield "columns of a heading", 2000, lambda n: (
        "check", one(folder, plate() + VISIT + "\n[excitation 1S1-1S2]\n" + "voltage/V  " * n + "\n1  2\n"))
    yield "visits", 50, lambda n: (
        "check", one(folder, plate() + "".join(
            f"\n[visit {1990 + i // 300}-{i // 25 % 12 + 1:02}-{i % 25 + 1:02}]\npurpose: maintenance\n" + WINDING
            for i in range(n))))
    yield "sisters of one set", 100, lambda n: (
        "check", job(folder, n, lambda i: plate(i, SET) + VISIT + WINDING))
    yield "distinct CTs of a pack", 50, lambda n: (
        "pack", job(folder, n, lambda i: plate(i) + VISIT + WINDING) / "pack.toml", "-o", out)
    yield "a plate shared by a pack", 50, lambda n: (
        "pack", job(folder, n, lambda i: plate(i, core="like: A0" if i else CORE) + VISIT + WINDING) / "pack.toml", "-o", out)
    yield "a plate that nobody lends", 100, lambda n: (
        "check", job(folder, n, lambda i: plate(i, core=CORE if i else "like: NOBODY")))
    yield "a chain of plates", 15, lambda n: (
        "check", job(folder, n, lambda i: plate(i, core=f"like: A{i - 1}" if i else CORE)))


def growth(program, folder, out):
    print("| what | n | million instructions at n | 2n | 4n | further work, doubled |\n|---|---|---|---|---|---|")
    failed = []
    for name, count, arguments in growing(folder, out):
        took = []
        for n in (count, 2 * count, 4 * count):
            shutil.rmtree(out, ignore_errors=True)
            took.append(counted(program, *arguments(n)) / 1e6)
        times = (took[2] - took[1]) / (took[1] - took[0])
        shown = " | ".join(f"{million:.1f}" for million in took)
        print(f"| {name} | {count:,} | {shown} | {times:.2f} |", flush=True)
        failed += [f"{name}: {times:.2f} times the further work for twice as many"] * (times > MOST_GROWTH)
    return failed


def stages(program, folder, out):
    few, many = (load.job(count, folder / str(count)) for count in (30, 90))
    single = load.job(1, folder / "1") / "r" / "ct-00000.ctr"

    def each(command, of, *more):
        runs = []
        for job in (few, many):
            shutil.rmtree(out, ignore_errors=True)
            runs.append(counted(program, command, of(job), *more))
        return (runs[1] - runs[0]) / 60

    took = dict(zip(STAGES, (
        each("check", lambda job: job),
        each("pack", lambda job: job / "pack.toml", "-o", out),
        counted(program, "check", single),
        counted(program, "report", single, "-o", out))))
    print("| what | thousand instructions | held |\n|---|---|---|")
    failed = []
    for name, held in STAGES.items():
        thousand = took[name] / 1e3
        print(f"| {name} | {thousand:,.0f} | {held:,} |", flush=True)
        failed += [f"{name}: {thousand:,.0f} thousand instructions, held {held:,}"] * (thousand > MOST_ABOVE * held)
    return failed


def main(program, *only):
    failed = []
    with tempfile.TemporaryDirectory() as place:
        folder, out = pathlib.Path(place) / "job", pathlib.Path(place) / "out"
        for what in (growth, stages):
            if not only or f"--{what.__name__}" in only:
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir()
                failed += what(program, folder, out)
    sys.exit("\n".join(failed) or 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
