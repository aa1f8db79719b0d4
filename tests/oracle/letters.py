"""Letters of printed pages: at the scale that fits the columns on the paper no usual letter is under 8 points.

Usage: letters.py FILE.xlsx ...

Widths, paper, margins and print areas are read from the written parts. A page that is made too wide must be noticed, or
the check itself has failed. Python's standard library only.
"""

import re
import sys
import zipfile

LEAST = 8.0


def printed(sheet, area):
    """Size of letters of 11 points on paper."""
    widths = {}
    for low, high, width in re.findall(r'<col min="(\d+)" max="(\d+)" width="([\d.]+)"', sheet):
        widths.update({column: float(width) for column in range(int(low), int(high) + 1)})
    last = 0
    for letter in re.search(r":\$([A-Z]+)\$", area)[1]:
        last = last * 26 + ord(letter) - 64
    dots = sum(round(widths.get(column, 9.140625) * 7) for column in range(1, last + 1))
    paper = (8.27, 11.69) if 'paperSize="9"' in sheet else (8.5, 11.0)
    left, right = re.search(r'<pageMargins left="([\d.]+)" right="([\d.]+)"', sheet).groups()
    room = paper['orientation="landscape"' in sheet] - float(left) - float(right)
    return 11 * min(1.0, room * 96 / dots)


def pages(path):
    with zipfile.ZipFile(path) as package:
        book = package.read("xl/workbook.xml").decode()
        names = re.findall(r'<sheet name="([^"]*)"([^>]*)>', book)
        areas = dict(re.findall(r'<definedName name="_xlnm.Print_Area" localSheetId="(\d+)"[^>]*>([^<]*)<', book))
        for at, (name, rest) in enumerate(names):
            # What is hidden holds what charts show, and is not printed.
            if 'state="hidden"' in rest:
                assert str(at) not in areas, name
                continue
            yield name, package.read(f"xl/worksheets/sheet{at + 1}.xml").decode(), areas[str(at)]


def main():
    count, small = 0, []
    for path in sys.argv[1:]:
        for name, sheet, area in pages(path):
            count += 1
            size = printed(sheet, area)
            if size < LEAST:
                small.append(f"{path} {name}: {size:.1f} pt")
    # A page twice as wide as the widest paper cannot be read.
    if printed('<col min="1" max="1" width="300"/><pageMargins left="0.35" right="0.35"', "A!$A$1:$A$2") >= LEAST:
        raise SystemExit("the check notices nothing")
    if small:
        raise SystemExit("letters under 8 pt:\n" + "\n".join(small))
    print(f"{count} sheets are printed with letters of {LEAST:g} pt and more")


main()
