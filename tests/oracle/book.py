"""A job as an input book: LibreOffice opens, changes and saves it, and rodbook must come to the same results.

Usage: book.py RODBOOK JOB

The job is written as an input book and saved by LibreOffice: every listing must be the same but for what names files.
Then a price, a top of wall and a choice are changed in their cells, LibreOffice saves the book again, and the total must
be the one that rodbook gives for the job with --set. Python's standard library only.
"""

import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile

CHANGES = [
    # Sheet, key or row and column, value; and the same as a setting.
    ("prices", "dig", 33.75, ("prices.dig", "33.75 usd/cy")),
    ("allowances", "swell", 31, ("allowances.swell", "31")),
    ("bid", "profit", 9.5, ("bid.profit", "9.5")),
]


def records_of(rodbook, job, changes=()):
    command = [rodbook, "takeoff", str(job), "--json", "--date", "2026-11-25"]
    for path, value in changes:
        command += ["--set", f"{path}={value}"]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(f"{job}: {done.stderr}")
    records = json.loads(done.stdout)["records"]
    # What names files and cells, and what was given on the command line.
    for name in ("files_read", "set_on_command_line", "people"):
        records.pop(name, None)
    for row in records["inputs"]:
        row.pop("from")
    records["inputs"] = [row for row in records["inputs"] if row["path"] != "job.name"]
    return records


def saved(book, folder):
    """The book as LibreOffice saves it."""
    folder.mkdir()
    convert = ["soffice", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder), str(book)]
    subprocess.run(convert, check=True, capture_output=True)
    return folder / book.name


def changed(book, copy):
    """The book with the changes in its cells."""
    with zipfile.ZipFile(book) as source, zipfile.ZipFile(copy, "w") as target:
        strings = re.findall(r"<si>.*?</si>", source.read("xl/sharedStrings.xml").decode(), re.S)
        texts = [re.sub("<[^>]*>", "", text) for text in strings]
        sheets = re.findall(r'<sheet name="([^"]*)"', source.read("xl/workbook.xml").decode())
        for name in source.namelist():
            content = source.read(name).decode("utf-8", "surrogateescape")
            for sheet, key, value, _ in CHANGES:
                if name == f"xl/worksheets/sheet{sheets.index(sheet) + 1}.xml":
                    keys = re.findall(r'<c r="D(\d+)"[^>]*t="s"[^>]*><v>(\d+)</v>', content)
                    row = next(row for row, text in keys if texts[int(text)] == key)
                    content, count = re.subn(rf'(<c r="B{row}"[^>]*><v>)[^<]*(</v>)', rf"\g<1>{value}\g<2>", content)
                    if count != 1:
                        raise SystemExit(f"{book}: no number for {key} in sheet {sheet}")
            target.writestr(name, content.encode("utf-8", "surrogateescape"))


def main(rodbook, job):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        copy = folder / "job"
        shutil.copytree(job, copy, ignore=shutil.ignore_patterns("takeoff.xlsx"))
        book = copy / "book.xlsx"
        subprocess.run([rodbook, "new", str(book), "--from", str(copy)], check=True, capture_output=True)
        wanted = records_of(rodbook, copy)
        shutil.copy(saved(book, folder / "saved"), copy / "saved.xlsx")
        told = records_of(rodbook, copy / "saved.xlsx")
        differ = [name for name in wanted if wanted[name] != told[name]]
        if differ:
            raise SystemExit(f"{job} as a book saved by LibreOffice: {differ} differ")
        changed(copy / "saved.xlsx", copy / "changed.xlsx")
        shutil.copy(saved(copy / "changed.xlsx", folder / "again"), copy / "again.xlsx")
        total = lambda records: [row["value"] for row in records["cells"] if row["cell"] == "price.total"]
        as_book = total(records_of(rodbook, copy / "again.xlsx"))
        as_set = total(records_of(rodbook, copy, [change[3] for change in CHANGES]))
        if as_book != as_set or as_book == total(wanted):
            raise SystemExit(f"{job}: {as_book} from the changed book, {as_set} with --set")
        print(f"{job}: the book saved by LibreOffice gives every listing, and changed {as_book[0]['value']}")


if __name__ == "__main__":
    main(*sys.argv[1:])
