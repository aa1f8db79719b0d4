"""Functions over columns in a workbook: after changes of typed cells LibreOffice and rodbook must come to the same.

Usage: columns.py RODBOOK

A sheet of rows with every function over columns is written with few and with many rows. Typed cells of the workbook are
changed, LibreOffice recalculates it, and rodbook works the changed sheet out anew. Every cell must agree, and the
changes must move most formulas, or the check itself has failed. Python's standard library only.
"""

import csv
import pathlib
import re
import subprocess
import sys
import tempfile
import zipfile

import recalculate

COLUMNS = [
    # heading, unit, formula, total
    ("Item", "unit", "formula", "total"),
    ("Kind", "text", "", ""),
    ("Long", "ft", "", "sum"),
    ("High", "in", "", "mean"),
    ("Begun", "date", "", "max"),
    ("Key", "text", "", ""),
    ("Edge", "psf", "", ""),
    ("Pay", "usd", "", "min"),
    ("Wet", "yes/no", 'long > 12.ft && high < 30.inch || kind == "b"', "count_where(wet)"),
    ("Area", "sf", "long * high", "sum_where(ranges.area, ranges.wet)"),
    ("Share", "", "long / sum(ranges.long)", "sum(ranges.share ** 2)"),
    ("Of all", "", "area / sum(ranges.long * ranges.high)", "sum(-ranges.of_all)"),
    ("Deep", "ft", "max_where(ranges.long, ranges.kind == kind || ranges.long < 1.ft)", "mean_where(ranges.deep, ranges.wet || ranges.long < 3.ft)"),
    ("Crew", "text", "value_for(key, ranges.key, ranges.kind)", ""),
    ("Paid", "usd", "value_for(key, ranges.key, ranges.pay) * 2", "min_where(ranges.paid / 2 + ranges.pay, !ranges.wet && ranges.high >= 24.inch)"),
    ("Band", "usd", "value_in_band(high * 62.4.pcf, ranges.edge, ranges.pay)", "max(ranges.band - ranges.pay)"),
    ("Way", "usd", "value_between(min(high * 10.pcf, 4.psf), ranges.edge, ranges.pay)", "mean(ranges.way * ranges.long) / 1.ft"),
    ("Late", "yes/no", 'begun > min_where(ranges.begun, ranges.kind == "a")', 'count_where(ranges.late && ranges.crew == "C")'),
    ("Number", "", "value_for(pay, ranges.pay, ranges.high) / 1.inch", "sum(if count_where(ranges.number > 50) > 2 { ranges.number } else { ranges.share })"),
]
COLUMNS += [
    ("Alike", "yes/no", "(long > 12.ft) == (high > 30.inch)", "count_where((ranges.long > 12.ft) != (ranges.high > 30.inch))"),
    ("Days", "", 'working_days(date("2025-12-30"), begun, [date("2026-01-01"), date("2026-05-25")])', "count(ranges.days)"),
    ("Due", "date", "working_day_after(begun, round_near(long / 1.ft, 1))", "max"),
    ("Off", "date", "working_day_after(begun, 3, ranges.begun)", "min"),
]
# What is changed: the row, the column, and the entry as it is typed and as a workbook holds it.
CHANGES = [
    (0, "Long", "112.7", "112.7"),
    (1, "High", "97.25", "97.25"),
    (2, "Kind", "b", None),
    (3, "Begun", "2027-03-01", "46447"),
    (4, "Edge", "6.4", "6.4"),
    (0, "Pay", "4321.5", "4321.5"),
    (3, "Kind", "B", None),
]


def typed(row, rows):
    return {
        "Item": f"r{row}",
        "Kind": "abC"[row % 3],
        "Long": f"{(row * 37) % 301 / 10 + 0.1:.1f}",
        "High": f"{(row * 53) % 97 + 1}",
        "Begun": f"2026-{row % 12 + 1:02d}-{row % 28 + 1:02d}",
        "Key": f"k{(row * 7) % rows}",
        "Edge": f"{row * 1.5:.1f}",
        "Pay": f"{(row * 389) % 10007 + 0.25}",
    }


def write(path, rows, changes):
    lines = [typed(row, rows) for row in range(rows)]
    for row, column, entry, _ in changes:
        lines[row][column] = entry
    with open(path, "w", newline="") as file:
        out = csv.writer(file)
        out.writerows([[column[part] for column in COLUMNS] for part in range(3)])
        out.writerows([[line.get(column[0], "") for column in COLUMNS] for line in lines])
        out.writerow([column[3] for column in COLUMNS])


def workbook(rodbook, folder, rows, changes):
    sheet = folder / "ranges.csv"
    write(sheet, rows, changes)
    book = folder / f"{len(changes)}.xlsx"
    book.unlink(missing_ok=True)
    subprocess.run([rodbook, "sheet", str(sheet), "--out", str(book)], check=True, stdout=subprocess.DEVNULL)
    return book


def edited(book, copy, changes):
    """A copy of a workbook with typed cells changed."""
    with zipfile.ZipFile(book) as source, zipfile.ZipFile(copy, "w") as target:
        for name in source.namelist():
            content = source.read(name).decode() if name.endswith(".xml") else source.read(name)
            if name == "xl/worksheets/sheet1.xml":
                # The first row stands under the title, the headings and the units.
                head = int(re.search(r'<c r="[A-Z]+(\d+)"[^>]*><f>', content)[1])
                for row, column, entry, held in changes:
                    at = f"{letter(column)}{head + row}"
                    value = f"<v>{held}</v>" if held else f"<is><t>{entry}</t></is>"
                    kind = "" if held else ' t="inlineStr"'
                    content, count = re.subn(rf'<c r="{at}"( s="\d+")?[^>]*>.*?</c>', rf'<c r="{at}"\1{kind}>{value}</c>', content)
                    if count != 1:
                        raise SystemExit(f"no cell {at}")
            target.writestr(name, content)


def letter(column):
    return chr(65 + [known[0] for known in COLUMNS].index(column))


def out_of_order(book, folder, rows):
    """Bands that do not rise, or twice the same: nothing may be found in them, as rodbook refuses them."""
    for edge in ("-1", "0.0"):
        copy = folder / "disorder.xlsx"
        edited(book, copy, [(1, "Edge", edge, edge)])
        errors = recalculate.errors(copy, folder)
        missing = [column for column in ("Band", "Way") if sum(cell.startswith(letter(column)) for cell in errors) < rows]
        if missing:
            raise SystemExit(f"{rows} rows, edge {edge}: numbers in {missing} where the bands do not rise")


def main(rodbook):
    for rows in (5, 40, 3000):
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            book = workbook(rodbook, folder, rows, [])
            copy = folder / "changed.xlsx"
            edited(book, copy, CHANGES)
            theirs, formulas = recalculate.recalculated(copy, folder)
            before, _ = recalculate.cells(book)
            ours, _ = recalculate.cells(workbook(rodbook, folder, rows, CHANGES))
            wrong = {
                key: (value, theirs.get(key))
                for key, value in ours.items()
                if isinstance(value, str) and theirs.get(key) != value
                or not isinstance(value, str) and abs(theirs.get(key, 1e300) - value) > 1e-9 * max(abs(value), 1e-9)
            }
            if wrong:
                raise SystemExit(f"{rows} rows: {len(wrong)} of {len(ours)} differ (rodbook, workbook): {list(wrong.items())[:5]}")
            dead = [key for key in ours if before.get(key) != ours[key] and key not in formulas]
            moved = sum(before.get(key) != value for key, value in ours.items())
            if moved < len(ours) / 20 or len(dead) > len(CHANGES):
                raise SystemExit(f"{rows} rows: {moved} cells moved, {len(dead)} of them without a formula: {dead[:5]}")
            if rows < 100:
                out_of_order(book, folder, rows)
            print(f"{rows} rows: {len(ours)} cells alike after {len(CHANGES)} changes, which moved {moved}")


if __name__ == "__main__":
    main(sys.argv[1])
