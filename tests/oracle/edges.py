"""Edges of bands that products hit: the engine and a strict reader of the workbook's formulas must choose the same row.

Usage: edges.py RODBOOK

Half a million look-ups would be slow to no purpose; ten thousand rows are written, in which a pressure, a volume and a
length are worked out in other units than the band begins in. The live formulas are evaluated here with plain doubles,
without the tolerance that spreadsheets add of their own. Every row must be the one that begins there. Python's
standard library only.
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
import zipfile

NS = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
ROWS = 10_000
HEAD = [
    "Item,M,At volume,Edge volume,Volume,At pressure,Edge pressure,Pressure,At length,Edge length,Length",
    "unit,,cy,cf,,psf,psf,,ft,in,",
    # n/27 cubic yards reach n cubic feet; 150 pcf times n/4 ft reach n * 37.5 psf; n tenths of a foot reach n * 1.2 in.
    'formula,,m / 27 * 1.cy,m * 1.cf,"value_in_band(at_volume, [0.cf, edge_volume], [0, 1])",'
    '150.pcf * (m / 4).ft,m * 37.5.psf,"value_in_band(at_pressure, [0.psf, edge_pressure], [0, 1])",'
    'm * 0.1.ft,m * 1.2.inch,"value_in_band(at_length, [0.ft, edge_length], [0, 1])"',
]


def value(formula, cells):
    """A formula of numbers, IF, ABS and NA, with plain doubles."""
    text = re.sub(r"\$?([A-Z]+)\$?(\d+)", lambda m: f"c['{m[1]}{m[2]}']", formula).replace("^", "**")
    text = text.replace("IF(", "choose(").replace("NA()", "None").replace("ABS(", "abs(")
    return eval(text, {"__builtins__": {}, "c": cells, "choose": lambda a, b, c: b if a else c, "abs": abs})


def main(rodbook):
    with tempfile.TemporaryDirectory() as folder:
        sheet = pathlib.Path(folder) / "edges.csv"
        sheet.write_text("\n".join(HEAD + [f"r{n},{n},,,,,,,,," for n in range(1, ROWS + 1)]) + "\n")
        book = sheet.with_suffix(".xlsx")
        subprocess.run([rodbook, "sheet", str(sheet), "--out", str(book)], check=True, capture_output=True)
        checked = 0
        with zipfile.ZipFile(book) as package:
            for name in package.namelist():
                if not re.fullmatch(r"xl/worksheets/sheet\d+\.xml", name):
                    continue
                cells = {}
                for cell in ET.fromstring(package.read(name)).iterfind(".//m:c", NS):
                    formula, stored = cell.find("m:f", NS), cell.find("m:v", NS)
                    if stored is None or cell.get("t", "n") != "n":
                        continue
                    key, stored = cell.get("r"), float(stored.text)
                    cells[key] = stored if formula is None else value(formula.text, cells)
                    if formula is not None and "IF(" in formula.text:
                        checked += 1
                        if cells[key] != 1 or stored != 1:
                            raise SystemExit(f"{key}: stored {stored}, the formula gives {cells[key]}: {formula.text}")
        if checked != 3 * ROWS:
            raise SystemExit(f"{checked} look-ups were found, {3 * ROWS} were written")
        print(f"{checked} look-ups at the edge of their band: engine and formulas choose the same row")


if __name__ == "__main__":
    main(sys.argv[1])
