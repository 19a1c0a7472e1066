#!/bin/sh
# Makes the fixtures anew in a temporary folder and compares them with the committed ones.
# Without Python, SciPy or the uncertainties package there is nothing to do.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
if ! python3 -c 'import scipy, uncertainties' 2>/dev/null; then
    echo "skipped: python3 with scipy and uncertainties is not installed"
    exit 0
fi
made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT
export PYTHONDONTWRITEBYTECODE=1
python3 "$here/make.py" "$made"
python3 "$here/compare.py" "$here" "$made"
