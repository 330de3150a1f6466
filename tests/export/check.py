"""What the general reference libraries make of an export. One check a call; prints `ok`, or what is wrong and ends with 1.

The versions that the checks were written with stand in tests/requirements.txt.
"""

import json
import sys
from pathlib import Path


def json_schema(schema, document):
    """The document against the schema, by `jsonschema` (draft 2020-12); the schema against its own."""
    from jsonschema import Draft202012Validator

    schema = json.loads(Path(schema).read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    document = json.loads(Path(document).read_text("utf-8"))
    found = sorted(Draft202012Validator(schema).iter_errors(document), key=lambda e: list(map(str, e.absolute_path)))
    return [f"/{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in found]


def csvw(folder):
    """Every cell, key and link against the description, by `csvw`."""
    import warnings

    from csvw import TableGroup

    found = []
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        group = TableGroup.from_file(Path(folder) / "csv-metadata.json")
        for table in group.tables:
            try:
                for _ in table.iterdicts(strict=True):
                    pass
                if not table.check_primary_key():
                    found.append(f"{table.url}: a key is there twice")
            except Exception as e:
                found.append(f"{table.url}: {e}")
        try:
            if not group.check_referential_integrity():
                found.append("links: one names no row")
        except Exception as e:
            found.append(f"links: {e}")
    return found + [str(w.message) for w in said if "csvw" in str(w.filename)]


def bag(folder):
    """The bag against RFC 8493 and its own manifests, by `bagit` of the Library of Congress."""
    import bagit

    try:
        made = bagit.Bag(folder)
        made.validate()
    except bagit.BagError as e:
        return [str(e)]
    return [] if made.version == "1.0" else [f"version {made.version}"]


def parquet(folder, schema):
    """Types, by `pyarrow`: what the JSON Schema calls a number is one, and so on; every table is there. What stands in the cells
    is the matter of `parquet_cells`."""
    import pyarrow.parquet as pq

    defs = json.loads(Path(schema).read_text("utf-8"))["$defs"]
    found = []
    for table, described in defs.items():
        files = list(Path(folder, table).glob("collection=*/*.parquet"))
        if len(files) != 1:
            found.append(f"{table}: {len(files)} files")
            continue
        stored = pq.ParquetFile(files[0]).schema_arrow
        if set(stored.names) != set(described["properties"]):
            found.append(f"{table}: columns {stored.names}")
        for name, said in described["properties"].items():
            kind = str(stored.field(name).type)
            if "pattern" in said and said["pattern"].startswith("^[0-9]"):
                wanted = "date32[day]"
            elif (table, name) in {("journal", "at"), ("comparison", "kept_at")}:
                wanted = "timestamp[us, tz=UTC]"
            else:
                wanted = {"integer": "int64", "number": "double", "boolean": "bool"}.get(str(said.get("type")), "string")
            if kind != wanted:
                found.append(f"{table}.{name}: {kind}, not {wanted}")
            if stored.field(name).nullable == (name in described["required"]):
                found.append(f"{table}.{name}: nullable {stored.field(name).nullable}")
    return found


# What nobody is given: what the program keeps for itself, and what can be worked out anew.
KEPT = "name NOT IN ('setting', 'account_password') AND name NOT GLOB 'words*' AND name NOT GLOB 'found_*'"


def stored(database):
    """Every table of the catalogue that is handed on, by Python's own reader of SQLite: rows by column, blanks left out."""
    import sqlite3

    db = sqlite3.connect(f"file:{database}?mode=ro", uri=True)
    sql = f"SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND {KEPT}"
    for (table,) in db.execute(sql).fetchall():
        # The journal knows a term by the number of its row.
        rows = db.execute(f'SELECT {"rowid AS row, " if table == "term" else ""}* FROM "{table}" ORDER BY rowid')
        names = [column[0] for column in rows.description]
        yield table, [{n: v for n, v in zip(names, row) if v is not None} for row in rows]


def held_against(database, exported, same, blank=None):
    """Every row and every cell of an export against the catalogue's own. `exported` gives the rows of a table; what is
    `blank` stands in it as if it were missing."""
    found, tables = [], 0
    for table, wanted in stored(database):
        tables += 1
        rows = [{name: value for name, value in row.items() if value is not None} for row in exported(table)]
        there = {row.get("id"): row for row in rows}
        if len(rows) != len(wanted) or len(there) != len(rows):
            found.append(f"{table}: {len(rows)} rows, {len(there)} of them apart, for {len(wanted)}")
        if not wanted:
            found.append(f"{table}: is empty, and nothing is compared")
        for row in wanted:
            row = {name: value for name, value in row.items() if value != blank}
            told = there.get(row["id"], {})
            for name in sorted(row.keys() | told.keys()):
                if name not in told or name not in row or not same(told[name], row[name]):
                    found.append(f"{table}.{name} of {row['id']}: {told.get(name)!r} for {row.get(name)!r}")
    return found if tables > 40 else found + [f"only {tables} tables"]


def typed(told, kept):
    """A cell with a type of its own against what SQLite keeps: yes and no as 1 and 0, days and moments as texts."""
    from datetime import date, datetime

    if isinstance(told, datetime):
        return told == datetime.fromisoformat(kept)
    if isinstance(told, date):
        return told.isoformat() == kept
    if isinstance(told, bool):
        return int(told) == kept
    return told == kept and isinstance(told, str) == isinstance(kept, str)


def parsed(told, kept):
    """The same where lists and objects stand as such."""
    return told == json.loads(kept) if isinstance(told, (list, dict)) else typed(told, kept)


def csv_cells(folder, database):
    """The tables, read by `csvw` with their types."""
    from csvw import TableGroup

    tables = {str(table.url): table for table in TableGroup.from_file(Path(folder) / "csv-metadata.json").tables}
    return held_against(database, lambda table: tables[f"{table}.csv"].iterdicts(strict=True), parsed, blank="")


def parquet_cells(folder, database):
    """The tables, read by `pyarrow`."""
    import pyarrow.parquet as pq

    def rows(table):
        (file,) = Path(folder, table).glob("collection=*/*.parquet")
        return pq.ParquetFile(file).read().to_pylist()

    return held_against(database, rows, typed)


def json_cells(document, database):
    """The tables of the document."""
    tables = json.loads(Path(document).read_text("utf-8"))["tables"]
    return held_against(database, lambda table: tables[table], parsed)


def density(pool):
    """Stitch density by decade and fibre over all collections of a pool, by `duckdb`. Prints the answer as JSON."""
    import time

    import duckdb

    def table(name):
        return f"read_parquet('{pool}/*/{name}/*/*.parquet', hive_partitioning = true)"

    sql = f"""
        WITH fibre AS (
            SELECT DISTINCT o.collection, e.piece_id, f.fibre
              FROM {table('textile_fibres')} f
              JOIN {table('observation')} o ON o.collection = f.collection AND o.id = f.owner_id
              JOIN {table('examination')} e ON e.collection = o.collection AND e.id = o.examination_id
             WHERE o.replaced_by IS NULL AND o.withdrawn IS NULL),
        sewn AS (
            SELECT o.collection, e.piece_id, avg(s.per_cm) AS per_cm
              FROM {table('stitching')} s
              JOIN {table('observation')} o ON o.collection = s.collection AND o.id = s.id
              JOIN {table('examination')} e ON e.collection = o.collection AND e.id = o.examination_id
             WHERE o.replaced_by IS NULL AND o.withdrawn IS NULL AND s.per_cm IS NOT NULL
             GROUP BY ALL)
        SELECT p.date_earliest // 10 * 10 AS decade, substr(f.fibre, 7) AS fibre, count(*) AS pieces,
               quantile_cont(s.per_cm, [0, 0.25, 0.5, 0.75, 1]) AS spread
          FROM sewn s
          JOIN {table('piece')} p ON p.collection = s.collection AND p.id = s.piece_id
          JOIN fibre f ON f.collection = s.collection AND f.piece_id = s.piece_id
         GROUP BY ALL ORDER BY ALL"""
    began = time.monotonic()
    rows = duckdb.sql(sql).fetchall()
    took = time.monotonic() - began
    size = sum(f.stat().st_size for f in Path(pool).glob("*/*/*/*.parquet"))
    pieces, collections = duckdb.sql(f"SELECT count(*), count(DISTINCT collection) FROM {table('piece')}").fetchall()[0]
    print(json.dumps({"rows": rows, "seconds": took, "bytes": size, "pieces": pieces, "collections": collections}))
    return None


def main():
    found = globals()[sys.argv[1]](*sys.argv[2:])
    if found is not None:
        print("\n".join(found) if found else "ok")
        sys.exit(1 if found else 0)


main()
