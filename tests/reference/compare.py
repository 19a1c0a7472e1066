"""Compares two folders of fixtures: texts alike, numbers to 1e-9. The line of versions is not compared."""

import json
import math
import pathlib
import sys

NEAR = 1e-9


def differences(a, b, path):
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        for key in a:
            if key != "made_with":
                yield from differences(a[key], b[key], f"{path}/{key}")
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for n, (x, y) in enumerate(zip(a, b)):
            yield from differences(x, y, f"{path}/{n}")
    elif isinstance(a, float) and isinstance(b, (float, int)):
        if not math.isclose(a, b, rel_tol=NEAR, abs_tol=NEAR):
            yield f"{path}: {a} and {b}"
    elif a != b:
        yield f"{path}: {a!r} and {b!r}"


def main():
    one, other = map(pathlib.Path, sys.argv[1:3])
    names = sorted(path.name for path in one.glob("*.json"))
    found = [] if names else ["no fixtures"]
    for name in names:
        found += differences(json.loads((one / name).read_text()), json.loads((other / name).read_text()), name)
    print("\n".join(found[:20]) or f"{len(names)} fixtures agree")
    sys.exit(1 if found else 0)


main()
