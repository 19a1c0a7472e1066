#!/usr/bin/env python3
"""Four readers of Parquet, asked without any setting, find the sites of the records: readers.py PARQUET RECORDS. Those whose
names look like numbers, hidden files or the word of engines for nothing are texts as well."""
import pathlib, sys

import duckdb, pyarrow.dataset, pyarrow.parquet
from datafusion import SessionContext

parquet, records = sys.argv[1], pathlib.Path(sys.argv[2])
written = [path.read_text() for path in records.glob("*.ctr")]
sites = [text.split("site: ", 1)[1].split("\n")[0] if "site: " in text else None for text in written]


def engine(folder):
    context = SessionContext()
    context.sql(f"CREATE EXTERNAL TABLE asked STORED AS PARQUET LOCATION '{folder}/'").collect()
    return [row["site_now"] for batch in context.sql("SELECT site_now FROM asked").collect() for row in batch.to_pylist()]


readers = {
    "pyarrow.parquet": lambda folder: pyarrow.parquet.read_table(folder)["site_now"].to_pylist(),
    "pyarrow.dataset": lambda folder: pyarrow.dataset.dataset(folder, partitioning="hive").to_table()["site_now"].to_pylist(),
    "DuckDB": lambda folder: [row[0] for row in duckdb.execute(f"SELECT site_now FROM '{folder}/*/*.parquet'").fetchall()],
    "DataFusion": engine,
}
key = lambda site: (site is None, site or "")
for name, read in readers.items():
    found = sorted(read(f"{parquet}/cores"), key=key)
    assert found == sorted(sites, key=key), (name, found)
    assert set(read(f"{parquet}/quantities")) == set(sites), name
print(f"{', '.join(readers)}: the {len(sites)} sites as they were written")
