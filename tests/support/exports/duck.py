# Reads the files named on standard input, one a line, with DuckDB's sniffer, and prints each as one line of JSON:
# {"columns": [names], "rows": [[cells as text]]} or {"error": words}. Where its own encoding fails, the one named is tried.
import json
import sys

import duckdb

OWN_NAMES = {"utf-16le": "utf-16", "utf-16be": "utf-16", "windows-1252": "latin-1"}


def text(cell):
    if cell is None:
        return ""
    return cell.isoformat() if hasattr(cell, "isoformat") else str(cell)


def read(path, encoding):
    connection = duckdb.connect()
    named = f", encoding='{encoding}'" if encoding else ""
    answer = connection.execute(f"SELECT * FROM read_csv('{path}'{named})")
    columns = [column[0] for column in answer.description]
    return {"columns": columns, "rows": [[text(cell) for cell in row] for row in answer.fetchall()]}


for line in sys.stdin:
    asked = json.loads(line)
    answer = {"error": "nothing was tried"}
    for encoding in [None, OWN_NAMES.get(asked["encoding"])]:
        try:
            answer = read(asked["path"], encoding)
            break
        except Exception as error:
            answer = {"error": str(error)[:200]}
    print(json.dumps(answer))
