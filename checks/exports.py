"""Reads exported tables with openpyxl and Python's csv module and prints what they hold as JSON."""

import csv
import json
import pathlib
import sys

import openpyxl

out = {}
for path in map(pathlib.Path, sys.argv[1:]):
    if path.suffix == ".xlsx":
        book = openpyxl.load_workbook(path)
        out[path.name] = {
            sheet.title: [[[cell.data_type, cell.value] for cell in row] for row in sheet.iter_rows()]
            for sheet in book
        }
    else:
        with path.open(newline="", encoding="utf-8") as f:
            out[path.name] = list(csv.reader(f))
json.dump(out, sys.stdout)
