"""Compares two folders of fixtures: texts alike, numbers to 1e-9, those of the differential equation to
1e-7, those of an iterated fit to 1e-6. The line of versions is not compared."""

import json
import math
import pathlib
import sys

NEAR = 1e-9
# The steps of an adaptive solver follow the last bits of the processor's arithmetic; what the program
# is held to is 1e-3.
LOOSER = {"flux.json": 1e-7, "slope.json": 1e-6}


def differences(a, b, path, near):
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        for key in a:
            if key != "made_with":
                yield from differences(a[key], b[key], f"{path}/{key}", near)
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for n, (x, y) in enumerate(zip(a, b)):
            yield from differences(x, y, f"{path}/{n}", near)
    elif isinstance(a, float) and isinstance(b, (float, int)):
        if not math.isclose(a, b, rel_tol=near, abs_tol=near):
            yield f"{path}: {a} and {b}"
    elif a != b:
        yield f"{path}: {a!r} and {b!r}"


def main():
    one, other = map(pathlib.Path, sys.argv[1:3])
    names = sorted(path.name for path in one.glob("*.json"))
    found = [] if names else ["no fixtures"]
    for name in names:
        near = LOOSER.get(name, NEAR)
        found += differences(json.loads((one / name).read_text()), json.loads((other / name).read_text()), name, near)
    print("\n".join(found[:20]) or f"{len(names)} fixtures agree")
    sys.exit(1 if found else 0)


main()
