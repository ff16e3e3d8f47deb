"""Turns JSON lines of figures on stdin into one list, refusing a line that lacks a field."""

import json
import sys

FIELDS = ["name", "value", "unit", "goal", "better", "holds", "note"]
AREAS = {"film", "register", "motion", "flight", "feet", "window", "reads", "patterns", "room", "trust"}

rows = []
for line in sys.stdin:
    row = json.loads(line)
    lacking = [f for f in FIELDS if f not in row]
    if lacking or row["better"] not in ("lower", "higher") or row["name"].split(".")[0] not in AREAS:
        sys.exit(f"not a figure: {line.strip()} (lacks {lacking})")
    rows.append({f: row[f] for f in FIELDS})
json.dump(sorted(rows, key=lambda r: r["name"]), sys.stdout, indent=1)
print()
missed = [r["name"] for r in rows if r["holds"] is False]
print(f"{len(rows)} figures, {len(missed)} goals missed: {', '.join(missed)}", file=sys.stderr)
