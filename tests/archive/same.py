#!/usr/bin/env python3
"""Parquet, CSV and SQLite hold the same rows, as DuckDB and SQLite read them: same.py PARQUET CSV SQLITE."""
import csv, sqlite3, sys

import duckdb

parquet, sheets, base = sys.argv[1:]
database = sqlite3.connect(f"{base}/archive.sqlite")


def in_order(rows):
    return sorted(rows, key=lambda row: [(cell is None, str(cell)) for cell in row])


def plain(cell):
    """Days as text, yes and no as 1 and 0, as SQLite has them."""
    if isinstance(cell, bool):
        return int(cell)
    return cell if cell is None or isinstance(cell, (int, float, str)) else str(cell)


for table in ("quantities", "cores"):
    from_parquet = f"read_parquet('{parquet}/{table}/*/*.parquet')"
    about = duckdb.execute(f"DESCRIBE SELECT * FROM {from_parquet}").fetchall()
    kinds = {row[0]: row[1] for row in about}
    names = [row[1] for row in database.execute(f"PRAGMA table_info({table})")]
    assert sorted([*names, "part"]) == sorted(kinds), "the columns differ"
    columns = ", ".join(f'"{name}"' for name in names)
    one = [tuple(map(plain, row)) for row in duckdb.execute(f"SELECT {columns} FROM {from_parquet}").fetchall()]
    # One apostrophe before a text is the guard.
    cell = lambda name: (
        f"CASE WHEN starts_with(\"{name}\", '''') THEN substr(\"{name}\", 2) ELSE \"{name}\" END"
        if kinds[name] == "VARCHAR"
        else f'"{name}"'
    )
    types = "{" + ", ".join(f"'{name}': '{kinds[name]}'" for name in names) + "}"
    text = f"SELECT {', '.join(map(cell, names))} FROM read_csv('{sheets}/{table}.csv', header = true, columns = {types}, auto_detect = false, quote = '\"', escape = '\"')"
    two = [tuple(map(plain, row)) for row in duckdb.execute(text).fetchall()]
    three = list(database.execute(f"SELECT {columns} FROM {table}"))
    assert len(one) == len(two) == len(three) > 0, (len(one), len(two), len(three))
    for rows in zip(in_order(one), in_order(two), in_order(three)):
        assert rows[0] == rows[1] == rows[2], "\n".join(map(str, rows))
    with open(f"{sheets}/{table}.csv", newline="") as file:
        assert len(list(csv.reader(file))) == len(one) + 1
    print(f"{table}: {len(one)} rows, the same in Parquet, CSV and SQLite")
