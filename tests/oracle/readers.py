"""Written workbooks read by an independent library: the same cells, names, print areas and hidden sheets.

Usage: readers.py FILE.xlsx ...

Needs the general-purpose library openpyxl (pip install openpyxl). What the package itself says, read with Python's
standard library, is set beside what the library sees.
"""

import re
import sys
import warnings
import xml.etree.ElementTree as ET
import zipfile

import openpyxl

M = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def of_package(path):
    """Cells by sheet and place, names, print areas and states, as the package has them."""
    with zipfile.ZipFile(path) as package:
        book = ET.fromstring(package.read("xl/workbook.xml"))
        strings = []
        if "xl/sharedStrings.xml" in package.namelist():
            for item in ET.fromstring(package.read("xl/sharedStrings.xml")).iter(f"{M}si"):
                strings.append("".join(text.text or "" for text in item.iter(f"{M}t")))
        sheets = [(sheet.get("name"), sheet.get("state", "visible")) for sheet in book.iter(f"{M}sheet")]
        cells = {}
        for number, (name, _) in enumerate(sheets, 1):
            for cell in ET.fromstring(package.read(f"xl/worksheets/sheet{number}.xml")).iter(f"{M}c"):
                value = cell.find(f"{M}v")
                if value is None or value.text is None:
                    continue
                kind = cell.get("t", "n")
                read = {"s": lambda: strings[int(value.text)], "str": lambda: value.text, "b": lambda: value.text == "1"}
                cells[name, cell.get("r")] = read.get(kind, lambda: float(value.text))()
        names, areas = {}, {}
        for defined in book.iter(f"{M}definedName"):
            if defined.get("name") == "_xlnm.Print_Area":
                areas[sheets[int(defined.get("localSheetId"))][0]] = re.sub(r"^.*!", "", defined.text)
            elif not defined.get("name").startswith("_xlnm."):
                names[defined.get("name")] = defined.text
    return cells, names, areas, dict(sheets)


def of_library(path):
    book = openpyxl.load_workbook(path, data_only=True)
    cells, areas, states = {}, {}, {}
    for sheet in book:
        states[sheet.title] = sheet.sheet_state
        if sheet.print_area:
            areas[sheet.title] = re.sub(r"^.*!", "", sheet.print_area)
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    is_number = isinstance(cell.value, (int, float)) and not isinstance(cell.value, bool)
                    cells[sheet.title, cell.coordinate] = float(cell.value) if is_number else cell.value
    return cells, {name: defined.attr_text for name, defined in book.defined_names.items()}, areas, states


def main(paths):
    warnings.simplefilter("error")
    for path in paths:
        package, library = of_package(path), of_library(path)
        for what, ours, theirs in zip(("cells", "names", "print areas", "states"), package, library):
            # A cell of a day is a number in the package and a day in the library.
            days = {key for key, value in theirs.items() if hasattr(value, "year")}
            differ = [key for key in ours.keys() | theirs.keys() if key not in days and ours.get(key) != theirs.get(key)]
            if differ:
                key = sorted(differ, key=str)[0]
                raise SystemExit(f"{path}: {what}: {len(differ)} differ, such as {key}: {ours.get(key)!r} and {theirs.get(key)!r}")
        print(f"{path}: {len(package[0])} cells, {len(package[1])} names, {len(package[2])} print areas: the same")


if __name__ == "__main__":
    main(sys.argv[1:])
