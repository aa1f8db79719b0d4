"""A client changes an input of a written workbook: LibreOffice and rodbook must come to the same total.

Usage: follow.py RODBOOK JOB

For some inputs that the steps do not depend on, the cell of the Inputs sheet is changed in a copy of the workbook, the
copy is recalculated by LibreOffice, and every cell of the price is compared with what rodbook computes from the changed
job. A price left unchanged must be noticed, or the check itself has failed. Python's standard library only.
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile
import zipfile

import recalculate

CHANGES = [
    ("allowances.footing_waste", "15", 0.15),
    ("allowances.wall_waste", "0", 0.0),
    ("allowances.order_step", "1 cy", 1.0),
    ("prices.drain_rock", "71.35 usd/cy", 71.35),
    ("bid.overhead", "9.5", 0.095),
    ("bid.profit", "11", 0.11),
]


def cells_of(rodbook, job, change):
    command = [rodbook, "takeoff", job, "--json"] + (["--set", "=".join(change)] if change else [])
    records = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)["records"]
    return {row["cell"]: row["value"]["value"] for row in records["cells"] if isinstance(row["value"], dict)}


def names_of(path):
    """Defined names: sheet and cell."""
    with zipfile.ZipFile(path) as package:
        text = package.read("xl/workbook.xml").decode()
    sheets = re.findall(r'<sheet name="([^"]*)"', text)
    found = re.findall(r'<definedName name="([^"]*)">\'?([^\'!]*)\'?!\$([A-Z]+)\$(\d+)</definedName>', text)
    return {name: (f"xl/worksheets/sheet{sheets.index(sheet) + 1}.xml", column + row) for name, sheet, column, row in found if sheet in sheets}


def changed(path, copy, place, value):
    sheet, cell = place
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(copy, "w") as target:
        for name in source.namelist():
            content = source.read(name)
            if name == sheet:
                content, count = re.subn(rb'(<c r="%s"[^>]*><v>)[^<]*(</v>)' % cell.encode(), rb"\g<1>%s\g<2>" % repr(value).encode(), content)
                if count != 1:
                    raise SystemExit(f"{path}: no cell {cell} in {sheet}")
            target.writestr(name, content)


def main():
    rodbook, job = sys.argv[1:3]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        book = folder / "takeoff.xlsx"
        subprocess.run([rodbook, "takeoff", job, "--out", str(book)], check=True, stdout=subprocess.DEVNULL)
        names = names_of(book)
        base = cells_of(rodbook, job, None)
        for path, text, number in CHANGES:
            ours = cells_of(rodbook, job, (path, text))
            if ours == base:
                raise SystemExit(f"{path} moves nothing: the check would not notice a workbook that stands still")
            copy = folder / "changed.xlsx"
            changed(book, copy, names["in_" + path.replace(".", "_")], number)
            theirs, _ = recalculate.recalculated(copy, folder)
            for cell, value in ours.items():
                other = theirs[names["cell_" + cell.replace(".", "_").lower()]]
                if abs(other - value) > 0.005:
                    raise SystemExit(f"{path} = {text}: {cell} is {other} in the workbook, {value} in rodbook")
            print(f"{path} = {text}: {len(ours)} cells follow, total {ours['price.total']:.2f}")


main()
