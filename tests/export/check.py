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
    """Types, by `pyarrow`: what the JSON Schema calls a number is one, and so on; every table is there."""
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
