#!/usr/bin/env python3
"""The questions of the manual, asked word for word: ask.py duckdb|datafusion [--time]. Stands in the folder that holds the
archives `now` and `before`. Prints each question and its rows."""
import pathlib, re, sys, time

PAGE = pathlib.Path(__file__).resolve().parents[2] / "book" / "src" / "archive.md"


def statements(engine):
    """What makes the tables for an engine, and the questions by their headings."""
    setup, questions, heading = "", [], ""
    parts = re.split(r"^```(.*)$", PAGE.read_text(), flags=re.M)
    for text, info, block in zip(parts[0::4], parts[1::4], parts[2::4]):
        found = re.findall(r"^### (.*)$", text, flags=re.M)
        heading = found[-1] if found else heading
        if info.strip() == "sql " + engine:
            setup += block
        elif info.strip() == "sql":
            questions.append((heading, block.strip()))
    return [one.strip() for one in setup.split(";") if one.strip()], questions


def duckdb():
    import duckdb

    base = duckdb.connect()
    return lambda text: [tuple(row) for row in base.execute(text).fetchall()]


def datafusion():
    from datafusion import SessionContext

    base = SessionContext()

    def ask(text):
        batches = base.sql(text).collect()
        return [tuple(row.values()) for batch in batches for row in batch.to_pylist()]

    return ask


def main():
    engine = sys.argv[1]
    ask = {"duckdb": duckdb, "datafusion": datafusion}[engine]()
    setup, questions = statements(engine)
    assert setup and len(questions) == 5, "the page has five questions"
    for one in setup:
        ask(one)
    for heading, text in questions:
        begun = time.monotonic()
        rows = ask(text)
        taken = f", {time.monotonic() - begun:.2f} s" if "--time" in sys.argv else ""
        print(f"{heading}: {len(rows)}{taken}")
        if "--time" not in sys.argv:
            for row in rows:
                print("  " + " | ".join("-" if cell is None else str(cell) for cell in row))


main()
