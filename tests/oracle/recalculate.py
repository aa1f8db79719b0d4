"""Hard recalculation of written workbooks by LibreOffice, as an independent spreadsheet.

Usage: recalculate.py FILE.xlsx ...

Every cached value is discarded and recalculated; each number of the result must agree with what rodbook wrote to
1e-9 relative. A planted wrong cache must be noticed, or the check itself has failed. Python's standard library only.
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
import zipfile

NS = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def cells(path):
    """Numbers and texts of formulas by (sheet number, cell), and which of them are formulas."""
    numbers, formulas = {}, set()
    with zipfile.ZipFile(path) as package:
        sheets = sorted(n for n in package.namelist() if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", n))
        for name in sheets:
            for cell in ET.fromstring(package.read(name)).iterfind(".//m:c", NS):
                key = (name, cell.get("r"))
                value = cell.find("m:v", NS)
                if cell.find("m:f", NS) is not None:
                    formulas.add(key)
                kind, text = cell.get("t", "n"), "" if value is None else value.text or ""
                if kind in ("n", "b") and text:
                    numbers[key] = float(text)
                elif kind == "str":
                    numbers[key] = text
                elif cell.get("t") == "e":
                    raise SystemExit(f"{path} {key}: an error value")
    return numbers, formulas


def errors(path, folder):
    """Cells of the first sheet that hold an error value after recalculation."""
    with zipfile.ZipFile(converted(path, folder)) as package:
        sheet = ET.fromstring(package.read("xl/worksheets/sheet1.xml"))
    return [cell.get("r") for cell in sheet.iterfind(".//m:c", NS) if cell.get("t") == "e"]


def recalculated(path, folder):
    return cells(converted(path, folder))


def converted(path, folder):
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS)
    out = folder / "out"
    command = ["soffice", "--headless", f"-env:UserInstallation=file://{profile}", "--convert-to", "xlsx", "--outdir", str(out), str(path)]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=300)
    return out / path.name


def differences(path, folder):
    ours, formulas = cells(path)
    theirs, _ = recalculated(path, folder)
    wrong = []
    for key, value in ours.items():
        other = theirs.get(key)
        if isinstance(value, str) or isinstance(other, str):
            if value != other:
                wrong.append((key, value, other))
        elif other is None or abs(other - value) > 1e-9 * max(abs(value), abs(other), 1e-9):
            wrong.append((key, value, other))
    return wrong, len(ours), len(formulas)


def spoiled(path, folder):
    """A copy with the first cached result of a formula made wrong."""
    copy = folder / ("spoiled-" + path.name)
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(copy, "w") as target:
        done = False
        for name in source.namelist():
            content = source.read(name)
            if not done and name.startswith("xl/worksheets/") and b"<f>" in content:
                content, count = re.subn(rb"(</f><v>)[^<]*(</v>)", rb"\g<1>987654\g<2>", content, count=1)
                done = count == 1
            target.writestr(name, content)
    if not done:
        raise SystemExit(f"{path}: no formula to spoil")
    return copy


def main():
    for name in sys.argv[1:]:
        path = pathlib.Path(name).resolve()
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            wrong, count, formulas = differences(path, folder)
            if wrong or formulas == 0:
                raise SystemExit(f"{path}: {len(wrong)} of {count} numbers differ: {wrong[:5]}")
            caught, _, _ = differences(spoiled(path, folder), folder)
            if not caught:
                raise SystemExit(f"{path}: a planted wrong value was not noticed")
            print(f"{path.name}: {count} numbers, {formulas} formulas recalculated alike; a planted fault was noticed")


if __name__ == "__main__":
    main()
