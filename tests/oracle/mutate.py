#!/usr/bin/env python3
"""Damaged workbooks: members and records of sound ones are changed and packed again soundly, so that the change reaches the
reader. Every one must be answered with an exit code of 0 to 4, a message where it is not 0, under 512 MB and 30 seconds.

    mutate.py PROGRAM COUNT [SEED]        COUNT files of each format: xlsx, ods, xlsb, xls
"""

import io
import os
import pathlib
import random
import re
import struct
import subprocess
import sys
import tempfile
import time
import zipfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
SHOTS = ROOT / "tests/data/shots"
REFUSED = ("does not unpack", "is refused", "is no workbook", "larger than")
MOST_KB = 512 * 1024
LONGEST = 30
NASTY = [
    b"0", b"-1", b"1", b"65535", b"65536", b"1048576", b"4294967295", b"99999999999", b"18446744073709551616", b"1e308",
    b"NaN", b"", b"A0", b"ZZZZ1", b"A99999999999", b"A1:XFD1048576", b"&amp;", b"\xf0\x9f\x98\x80", b"true", b"s", b"str",
]


def zipped(members):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, data in members:
            book.writestr(name, data)
    return out.getvalue()


def members(data):
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        return [(name, book.read(name)) for name in book.namelist()]


def change_xml(rng, text):
    kind = rng.randrange(6)
    if kind == 0:
        spots = list(re.finditer(rb'="([^"]*)"', text))
    elif kind == 1:
        spots = list(re.finditer(rb">([^<]+)<", text))
    elif kind == 2:
        spots = list(re.finditer(rb"(\d+)", text))
    else:
        spots = list(re.finditer(rb"<([^>]*)>", text))
    if not spots:
        return text
    spot = rng.choice(spots)
    start, end = spot.span(1)
    if kind <= 2:
        return text[:start] + rng.choice(NASTY) + text[end:]
    a, b = spot.span(0)
    if kind == 3:
        return text[:a] + text[b:]
    if kind == 4:
        return text[:b] + text[a:b] * rng.choice([1, 3, 200]) + text[b:]
    other = rng.choice(spots)
    return text[:a] + other.group(0) + text[b:]


def change_bytes(rng, data):
    data = bytearray(data)
    for _ in range(rng.choice([1, 1, 1, 2, 4])):
        if not data:
            break
        at = rng.randrange(len(data))
        kind = rng.randrange(4)
        if kind == 0:
            data[at] ^= 1 << rng.randrange(8)
        elif kind == 1:
            data[at] = rng.choice([0, 1, 0x7F, 0x80, 0xFF])
        elif kind == 2:
            value = rng.choice([0, 1, 0xFFFF, 0x10000, 0x7FFFFFFF, 0xFFFFFFFF])
            data[at:at + 4] = struct.pack("<I", value)[: len(data[at:at + 4])]
        else:
            end = min(len(data), at + rng.choice([1, 2, 8, 64]))
            data[at:end] = data[at:end][::-1] if rng.random() < 0.5 else b""
    return bytes(data)


def change_zip(rng, data):
    parts = members(data)
    wanted = [n for n, (name, _) in enumerate(parts) if re.search(r"(sheet|shared|workbook|content|style).*\.(xml|bin|rels)$", name, re.I)]
    for _ in range(rng.choice([1, 1, 2])):
        at = rng.choice(wanted)
        name, text = parts[at]
        binary = name.endswith(".bin")
        parts[at] = (name, change_bytes(rng, text) if binary else change_xml(rng, text))
    return zipped(parts)


def change_xls(rng, data):
    # Past the header; now and then the chains of sectors themselves.
    if rng.random() < 0.2:
        return data[:512] + change_bytes(rng, data[512:])
    stream = data.find(b"\x09\x08\x10\x00")
    return data[:stream] + change_bytes(rng, data[stream:])


def record(kind, payload=b""):
    head = bytes([kind]) if kind < 128 else bytes([kind & 0x7F | 0x80, kind >> 7])
    size, left = b"", len(payload)
    while True:
        low = left & 0x7F
        left >>= 7
        size += bytes([low | (0x80 if left else 0)])
        if not left:
            return head + size + payload


def wide(text):
    return struct.pack("<I", len(text)) + text.encode("utf-16-le")


def xlsb():
    heads = ["point", "northing", "easting", "elevation", "code"]
    rows = [[n, 1000.5 + n, 2000.25 + 3 * n, 101.125 + n / 8, "EG"] for n in range(40)]
    cells = record(129) + record(148, struct.pack("<IIII", 0, 40, 0, 4)) + record(145)
    for at, row in enumerate([heads] + rows):
        cells += record(0, struct.pack("<IIHHBI", at, 0, 300, 0, 0, 0))
        for column, value in enumerate(row):
            place = struct.pack("<II", column, 0)
            cells += record(6, place + wide(value)) if isinstance(value, str) else record(5, place + struct.pack("<d", value))
    cells += record(146) + record(130)
    book = record(131) + record(143) + record(156, struct.pack("<II", 0, 1) + wide("rId1") + wide("S")) + record(144) + record(132)
    space = "http://schemas.openxmlformats.org/package/2006/"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
    types = f'<Types xmlns="{space}content-types"><Default Extension="bin" ContentType="application/vnd.ms-excel.sheet.binary.macroEnabled.main"/><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/></Types>'
    top = f'<Relationships xmlns="{space}relationships"><Relationship Id="rId1" Type="{office}officeDocument" Target="xl/workbook.bin"/></Relationships>'
    own = f'<Relationships xmlns="{space}relationships"><Relationship Id="rId1" Type="{office}worksheet" Target="worksheets/sheet1.bin"/></Relationships>'
    return zipped([
        ("[Content_Types].xml", types), ("_rels/.rels", top), ("xl/workbook.bin", book),
        ("xl/_rels/workbook.bin.rels", own), ("xl/worksheets/sheet1.bin", cells),
    ])


def xls(folder):
    source = folder / "seed.csv"
    source.write_text("point,northing,easting,elevation,code\n" + "".join(f"{n},{1000.5 + n},{2000.25 + 3 * n},{101.125 + n / 8},EG\n" for n in range(40)))
    subprocess.run(["soffice", "--headless", "--convert-to", "xls", "--outdir", str(folder), str(source)], check=True, capture_output=True)
    return (folder / "seed.xls").read_bytes()


def run(program, path):
    """Exit code, what was said, largest memory in KB, the process of its own included."""
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen([program, "shots", str(path)], stdout=said, stderr=subprocess.STDOUT)
        end = time.monotonic() + LONGEST
        while True:
            pid, status, usage = os.wait4(process.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() > end:
                process.kill()
                process.wait()
                return "too long", "", 0
            time.sleep(0.001)
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        return process.returncode, said.read().decode("utf-8", "replace"), usage.ru_maxrss


def main():
    program, count = sys.argv[1], int(sys.argv[2])
    rng = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 20)
    wrong = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        seeds = {
            "xlsx": ([(SHOTS / "ri_marsh_transitions.xlsx").read_bytes(), (ROOT / "examples/tarrow-bench/shots.xlsx").read_bytes()], change_zip),
            "ods": ([(SHOTS / "derived_ri_marsh_transitions.ods").read_bytes()], change_zip),
            "xlsb": ([xlsb()], change_zip),
            "xls": ([xls(folder)], change_xls),
        }
        for ending, (sound, change) in seeds.items():
            codes, reached, peak = {}, 0, 0
            for data in sound:
                path = folder / f"sound.{ending}"
                path.write_bytes(data)
                code, text, _ = run(program, path)
                if code != 0 or "not used" not in text:
                    print(f"the sound {ending} is not read: {code} {text[:300]}")
                    wrong += 1
            for n in range(count):
                data = change(rng, rng.choice(sound))
                path = folder / f"m{n}.{ending}"
                path.write_bytes(data)
                code, text, memory = run(program, path)
                peak = max(peak, memory)
                codes[code] = codes.get(code, 0) + 1
                reached += not any(word in text for word in REFUSED)
                silent = code != 0 and not text.strip()
                fault = code not in (0, 1, 2, 3, 4) or silent or "panicked" in text or memory > MOST_KB
                if fault:
                    wrong += 1
                    keep = pathlib.Path(tempfile.gettempdir()) / f"rodbook-mutant-{n}.{ending}"
                    keep.write_bytes(data)
                    print(f"{keep}: exit {code}: {text[:200]}")
                path.unlink()
            print(f"{ending}: {count} files, {100 * reached / count:.0f} % reached the reader, exit codes {dict(sorted(codes.items(), key=str))}, most memory {peak / 1024:.0f} MB")
            if reached < 0.8 * count:
                print(f"{ending}: fewer than 80 % reached the reader")
                wrong += 1
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
