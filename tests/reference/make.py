"""Writes the fixtures into a folder: python3 make.py [FOLDER], by default the one it stands in."""

import json
import pathlib
import sys

import flux
import numpy
import roots
import scipy
import slope
import spread
import uncertainties


def write(folder, name, made_with, cases, **more):
    lines = ",\n".join(json.dumps(one) for one in cases)
    head = json.dumps({"made_with": made_with, **more})[:-1]
    (folder / name).write_text(f'{head}, "cases": [\n{lines}\n]}}\n')


def main():
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).parent
    libraries = f"NumPy {numpy.__version__}, SciPy {scipy.__version__}"
    write(folder, "roots.json", f"{libraries}: PchipInterpolator, brentq", roots.make())
    write(folder, "flux.json", f"{libraries}: quad, brentq, solve_ivp (DOP853)", flux.make())
    write(folder, "slope.json", f"{libraries}: curve_fit, linalg", slope.make())
    made = spread.make()
    write(folder, "spread.json", f"{libraries}, uncertainties {uncertainties.__version__}", made["cases"], instruments=made["instruments"])


main()
