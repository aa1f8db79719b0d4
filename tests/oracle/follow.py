"""A client changes an input of a written workbook: LibreOffice and rodbook must come to the same total.

Usage: follow.py RODBOOK JOB

For some inputs that the steps do not depend on, the cell of the Inputs sheet is changed in a copy of the workbook, the
copy is recalculated by LibreOffice, and every cell and line is compared with what rodbook computes from the changed
job. A price left unchanged must be noticed, or the check itself has failed. Python's standard library only.
"""

import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile

import recalculate

CHANGES = [
    ("allowances.footing_waste", "15", 0.15),
    ("allowances.wall_waste", "0", 0.0),
    ("allowances.order_step", "1 cy", 1.0),
    ("allowances.swell", "27", 0.27),
    ("prices.drain_rock", "71.35 usd/cy", 71.35),
    ("bid.overhead", "9.5", 0.095),
    ("bid.profit", "11", 0.11),
]


def cells_of(rodbook, job, change):
    command = [rodbook, "takeoff", job, "--json"] + (["--set", "=".join(change)] if change else [])
    records = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)["records"]
    cells = {"cell_" + row["cell"]: row["value"]["value"] for row in records["cells"] if isinstance(row["value"], dict)}
    lines = {"line_" + row["id"]: row["quantity"]["value"] for row in records["lines"]}
    return {re.sub("[^a-z0-9]", "_", name.lower()): value for name, value in (cells | lines).items()}


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


# Lines that a script states as formulas: over lines, settings, a listing; with a choice that a change turns over.
LINES = """
    t.formula("grout.by_step", "Grout, by order step", "cy",
        "if allowances.order_step > 0.75.cy { takeoff.stem.total * 2 } else { takeoff.stem.total * 3 }");
    t.formula("grout.at_steps", "Grout, at steps", "cy", "sum(steps.dirt_step) * sum(steps.overlap) * 1.inch + takeoff.grout.by_step");
    t.order("grout.order", "Grout to order", "grout.at_steps", "allowances.wall_waste", "allowances.order_step");
    t.formula("crew.days", "Days of the crew", "each", "round_up(takeoff.grout.order / 4.cy, 1)");
"""
# What of a line belongs to one wall, measured and followed.
WALLS = ",dug,cy,wall.takeoff.dig.section,\n,to_haul,cy,wall.takeoff.dig.loose,\n,hauling,usd,to_haul * prices.haul,\n"
CELLS = ',grout_cost,usd,to_cent(takeoff.grout.order * prices.drain_rock)\n,days,each,takeoff.crew.days * 2\n'


def with_formulas(job, folder):
    """The job with a wall case of its own that has lines by formulas, and cells over them."""
    own = folder / "own"
    shutil.copytree(job, own, ignore=shutil.ignore_patterns("takeoff.xlsx"))
    case = (pathlib.Path(__file__).parents[2] / "scripts/stepped_wall.rhai").read_text()
    (own / "scripts").mkdir()
    (own / "scripts/stepped_wall.rhai").write_text(case.replace("\n    t\n}", LINES + "\n    t\n}"))
    with open(own / "pour.csv", "a") as sheet:
        sheet.write(CELLS)
    with open(own / "walls.csv", "a") as sheet:
        sheet.write(WALLS)
    return str(own)


def main():
    rodbook, job = sys.argv[1:3]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        follow(rodbook, job, folder)
        follow(rodbook, with_formulas(job, folder), folder)
        taken_back(rodbook, job, folder)


def follow(rodbook, job, folder):
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
            other = theirs[names[cell]]
            if abs(other - value) > 0.005:
                raise SystemExit(f"{path} = {text}: {cell} is {other} in the workbook, {value} in rodbook")
        print(f"{path} = {text}: {len(ours)} cells and lines follow, total {ours['cell_price_total']:.2f}")


def taken_back(rodbook, job, folder):
    """The changed inputs of a workbook that LibreOffice saved, put into the job: the same total to the cent."""
    home = folder / "home"
    shutil.copytree(job, home, ignore=shutil.ignore_patterns("*.xlsx~", "takeoff.xlsx"))
    book = folder / "sent.xlsx"
    subprocess.run([rodbook, "takeoff", str(home), "--out", str(book)], check=True, stdout=subprocess.DEVNULL)
    names = names_of(book)
    for path, _, number in CHANGES:
        copy = folder / "typed.xlsx"
        changed(book, copy, names["in_" + path.replace(".", "_")], number)
        shutil.move(copy, book)
    saved = recalculate.converted(book, folder)
    theirs, _ = recalculate.cells(saved)
    asked = subprocess.run([rodbook, "read-back", str(home), str(saved)], capture_output=True, text=True)
    shown = asked.stdout
    if asked.returncode:
        raise SystemExit(f"read-back: {shown}{asked.stderr}")
    for path, _, _ in CHANGES:
        if path not in shown:
            raise SystemExit(f"read-back does not show {path}:\n{shown}")
    subprocess.run([rodbook, "read-back", str(home), str(saved), "--write"], check=True, stdout=subprocess.DEVNULL)
    ours = cells_of(rodbook, str(home), None)["cell_price_total"]
    total = theirs[names["cell_price_total"]]
    if abs(ours - total) > 0.005:
        raise SystemExit(f"read back the price is {ours}, in the workbook {total}")
    print(f"read back {len(CHANGES)} inputs from a saved workbook: total {ours:.2f}")


main()
