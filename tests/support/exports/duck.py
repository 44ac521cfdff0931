# Reads the files named on standard input, one a line, with DuckDB's sniffer, and prints for each one line of JSON: a list of
# tables {"columns": [names], "rows": [[cells as text]]}, read with its own types and with every cell left as text. Where its
# own encoding fails, the one named is tried.
import json
import sys

import duckdb

OWN_NAMES = {"utf-16le": "utf-16", "utf-16be": "utf-16", "windows-1252": "latin-1"}


def text(cell):
    if cell is None:
        return ""
    return cell.isoformat() if hasattr(cell, "isoformat") else str(cell)


def read(path, options):
    answer = duckdb.connect().execute(f"SELECT * FROM read_csv('{path}'{options})")
    columns = [column[0] for column in answer.description]
    return {"columns": columns, "rows": [[text(cell) for cell in row] for row in answer.fetchall()]}


def tables(path, encoding):
    named = f", encoding='{encoding}'" if encoding else ""
    for typed in ["", ", all_varchar=true"]:
        for options in [typed, typed + named]:
            try:
                yield read(path, options)
                break
            except Exception:  # A file it cannot read is an answer too: no table.
                continue


for line in sys.stdin:
    asked = json.loads(line)
    print(json.dumps(list(tables(asked["path"], OWN_NAMES.get(asked["encoding"])))))
