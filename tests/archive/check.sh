#!/bin/sh
# Asks two engines the questions of the manual on the demo job, holds the three formats against each other, and lets four
# readers of Parquet find the sites:
#   check.sh PROGRAM            compares with answers.txt
#   check.sh PROGRAM --refresh  writes it anew
# Without Python, DuckDB, DataFusion and PyArrow there is nothing to ask, and without its npm package no code of a unit to check.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
if test -d "$here/node_modules"; then
    node "$here/ucum.mjs"
else
    echo "skipped: npm ci --prefix tests/archive was not run"
fi
if ! python3 -c 'import duckdb, datafusion, pyarrow' 2>/dev/null; then
    echo "skipped: python3 with duckdb, datafusion and pyarrow is not installed"
    exit 0
fi
made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT
export PYTHONDONTWRITEBYTECODE=1
cp -r "$here/../../records" "$made/records"
cd "$made"
made_in() {
    status=0
    "$program" export records --to "$1" --format "$2" >/dev/null || status=$?
    test "$status" -eq 1 # planted defects are found
}
made_in before parquet
# The client's next edition asks for more.
sed -i 's/^primary = .*/primary = "110 Gohm"/' records/criteria.toml
made_in now parquet
made_in sheets csv
made_in base sqlite
python3 "$here/same.py" now sheets base
for engine in duckdb datafusion; do
    python3 "$here/ask.py" "$engine" >"$engine.txt"
done
if [ "${2:-}" = --refresh ]; then
    cp duckdb.txt "$here/answers.txt"
fi
for engine in duckdb datafusion; do
    diff "$here/answers.txt" "$engine.txt"
    echo "$engine: the answers of answers.txt"
done

# Sites of any name, by readers that nothing is said to.
mkdir odd
at=0
for site in 132 1e3 2026-01-01 _x .x null __HIVE_DEFAULT_PARTITION__ part=no-site a/b a%2Fb Alpha alpha; do
    at=$((at + 1))
    printf 'format: 1\n[ct]\nid: %s\n[place since 2026-01-01]\nsite: %s\n[core S]\nratio: 600/1\n[visit 2026-01-01]\nambient: 5 C\n' "$at" "$site" >"odd/$at.ctr"
done
sed '/^\[place/d; /^site/d; s/^id: .*/id: none/' odd/1.ctr >odd/none.ctr
"$program" export odd --to odd-tables --format parquet >/dev/null
python3 "$here/readers.py" odd-tables odd

# What was planted in a fleet is what the question of the moved resistance finds there.
python3 "$here/fleet.py" 300 fleet >planted.txt
test -s planted.txt
status=0
"$program" export fleet --to now --format parquet >/dev/null || status=$?
test "$status" -le 1
for engine in duckdb datafusion; do
    python3 "$here/ask.py" "$engine" |
        sed -n '/^Resistance moved/,/^Burden/s/^  \(CT-[0-9]*\) .*/\1/p' | diff planted.txt -
    echo "$engine: finds the resistances that moved, $(wc -l <planted.txt) of 300"
done
