"""Hand calculations of the bundled cases: writes hand.csv beside each job of examples/cases.

Usage: cases.py examples/cases

Where the footing steps, and every dimension, is typed here a second time, from the plan of each case; nothing is read from
the jobs or asked of the engine. Lengths are feet or metres, volumes cubic feet over 27 or cubic metres. Python's standard
library only.
"""

import csv
import math
import pathlib
import sys

INCH = 1 / 12


class Site:
    """One straight wall with one step: lengths, tops of footing on both sides, ground."""

    def __init__(self, metric, long, riser, tofs, overlap, ground, top, lengths=None):
        self.metric, self.long, self.riser, self.tofs = metric, long, riser, tofs
        self.overlap, self.ground, self.top = overlap, ground, top
        self.parts = lengths or [(riser, tofs[0]), (long - riser, tofs[1])]
        self.parts = [(length, tof) for length, tof in self.parts if length > 0]
        self.volume = 1 if metric else 27

    def heights(self):
        return [(length, self.top - tof) for length, tof in self.parts]

    def footing(self, wide, thick):
        """Runs and the overlap under the step, on the high side."""
        whole = wide * thick * self.long
        if self.riser:
            whole += wide * self.overlap * abs(self.tofs[1] - self.tofs[0])
        return whole / self.volume

    def dig(self, wide, thick, layback):
        """The section along the wall: the strip under the step has the lower bottom."""
        strip = self.overlap if self.riser else 0
        low, high = min(self.tofs) - thick, max(self.tofs) - thick
        lower = sum(length for length, tof in self.parts if tof - thick == low) + strip
        total = 0
        for length, bottom in ((lower, low), (self.long - lower, high)):
            deep = self.ground - bottom
            total += length * (wide * deep + layback * deep * deep / 2)
        return total / self.volume

    def stem(self, thick):
        return sum(length * height for length, height in self.heights()) * thick / self.volume

    def face(self):
        return sum(length * height for length, height in self.heights())

    def contact(self, thick):
        """Both faces and both ends."""
        (_, first), (_, last) = self.heights()[0], self.heights()[-1]
        return 2 * self.face() + thick * (first + last)


def straight(metric):
    """The site of most cases: 40 ft, a step at 18 ft; 12 m, a step at 5.4 m."""
    if metric:
        return Site(True, 12, 5.4, (30.3, 30.6), 0.3, 32.1, 33)
    return Site(False, 40, 18, (101, 102), 1, 107, 110)


def dims(metric, us, si):
    return si if metric else us


def cantilever(metric, key=None):
    site = straight(metric)
    wide, thick, stem = dims(metric, (6, 1, 1), (1.8, 0.3, 0.3))
    keys = (key[0] * key[1] * site.long / site.volume) if key else 0
    return {
        "footing.total": site.footing(wide, thick) + keys,
        "stem.total": site.stem(stem),
        "forms.contact": site.contact(stem),
        "dig.bank": site.dig(wide, thick, 1.5) + keys,
    }


def keyed(metric):
    return cantilever(metric, dims(metric, (1, 10 * INCH), (0.3, 0.25)))


def one_level(metric):
    site = straight(metric)
    level = site.tofs[0]
    site = Site(metric, site.long, 0, (level, level), 0, site.ground, site.top, [(site.long, level)])
    wide, thick, stem = dims(metric, (6, 1, 1), (1.8, 0.3, 0.3))
    return {
        "footing.total": site.footing(wide, thick),
        "stem.total": site.stem(stem),
        "forms.contact": site.contact(stem),
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def battered(metric, face, back, top_thick, wide, thick):
    site = straight(metric)
    # Trapezoids: the thickness at the foot from that at the top.
    foot = [(length, h, top_thick + (face + back) * h) for length, h in site.heights()]
    section = [(top_thick + at_foot) / 2 * h for _, h, at_foot in foot]
    volume = sum(part[0] * area for part, area in zip(foot, section))
    sloped = sum(length * (math.hypot(h, face * h) + math.hypot(h, back * h)) for length, h, _ in foot)
    return {
        "footing.total": site.footing(wide, thick),
        "stem.total": volume / site.volume,
        "forms.contact": sloped + section[0] + section[-1],
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def gravity(metric):
    top, wide, thick = dims(metric, (1.5, 7.5, 1), (0.45, 2.3, 0.3))
    return battered(metric, 1 / 12, 1 / 4, top, wide, thick)


def one_face(metric):
    top, wide, thick = dims(metric, (1, 6, 1), (0.3, 1.8, 0.3))
    return battered(metric, 0, 1 / 24, top, wide, thick)


def foundation(metric):
    site = straight(metric)
    wide, thick, stem = dims(metric, (2.5, 1, 10 * INCH), (0.75, 0.3, 0.25))
    ledge = dims(metric, (4 * INCH, 1), (0.1, 0.3))
    door = dims(metric, (3, 82 * INCH), (0.9, 2.1))
    window = dims(metric, (3, 2), (0.9, 0.6))
    bare = dims(metric, 3, 0.9)
    holes = door[0] * door[1] + 2 * window[0] * window[1]
    round_them = door[0] + 2 * door[1] + 2 * 2 * (window[0] + window[1])
    return {
        "footing.total": site.footing(wide, thick),
        "stem.total": site.stem(stem) - (ledge[0] * ledge[1] * site.long + holes * stem) / site.volume,
        "forms.contact": site.contact(stem) - 2 * holes + round_them * stem,
        "damp_proofing": sum(length * (height - bare) for length, height in site.heights()),
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def block(metric):
    if metric:
        site = Site(True, 12, 5.2, (30.2, 30.4), 0.25, 31.5, 32.2)
        wide, thick = 0.9, 0.25
        unit, course, every, cell, bar, lap, beam, mortar = 0.4, 0.2, 0.8, 0.018, 1.578, 0.75, 0.024, 0.002
    else:
        site = Site(False, 40, 17 + 4 / 12, (100 + 2 / 3, 101 + 1 / 3), 0, 105, 107 + 1 / 3)
        site.overlap = 10 * INCH
        wide, thick = 3, 10 * INCH
        unit, course, every, cell, bar, lap, beam, mortar = 16 * INCH, 8 * INCH, 32 * INCH, 0.2, 1.043, 2.5, 0.25, 0.07
    units = site.face() / (unit * course)
    cells = [(math.ceil(length / every - 1e-9) + 1, height) for length, height in site.heights()]
    tall = sum(count * height for count, height in cells)
    return {
        "footing.total": site.footing(wide, thick),
        "block.units": units,
        "block.order": math.ceil(units * 1.05),
        "block.mortar": units * mortar / site.volume,
        "block.cells": sum(count for count, _ in cells),
        "block.grout": (tall * cell + beam * site.long) / site.volume,
        "block.bars": (tall + sum(count for count, _ in cells) * lap) * bar,
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def strip(metric):
    site = straight(metric)
    wide, thick = dims(metric, (6, 1), (1.8, 0.3))
    rise = site.tofs[1] - site.tofs[0]
    return {
        "footing.total": site.footing(wide, thick),
        # Both edges, both ends, both sides of the overlap.
        "edge.forms": 2 * thick * site.long + 2 * thick * wide + 2 * site.overlap * rise,
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def stepped_top(metric):
    wide, narrow, thick, stem = dims(metric, (6, 4, 1, 1), (1.8, 1.2, 0.3, 0.3))
    long, riser, brk = dims(metric, (40, 18, 20), (12, 5.4, 6))
    low, high = dims(metric, (101, 102), (30.3, 30.6))
    tops = dims(metric, (108, 110), (32.4, 33))
    ground, overlap = dims(metric, (107, 1), (32.1, 0.3))
    volume = 1 if metric else 27
    # Stems: up to the riser, from it to the break of the top, beyond.
    stems = [(riser, tops[0] - low), (brk - riser, tops[0] - high), (long - brk, tops[1] - high)]
    # Stems of 7 ft (2.1 m) and less stand on the narrow type: up to the break of the top.
    feet = [(riser, narrow, low), (brk - riser, narrow, high), (long - brk, wide, high)]
    concrete = sum(length * width * thick for length, width, _ in feet) + narrow * overlap * (high - low)
    face = sum(length * height for length, height in stems)
    dug = 0
    for length, width, bottom in (
        (riser + overlap, narrow, low - thick),
        (brk - riser - overlap, narrow, high - thick),
        (long - brk, wide, high - thick),
    ):
        deep = ground - bottom
        dug += length * (width * deep + 0.75 * deep * deep)
    return {
        "footing.total": concrete / volume,
        "stem.total": face * stem / volume,
        "forms.contact": 2 * face + stem * (stems[0][1] + stems[-1][1]) + stem * (tops[1] - tops[0]),
        "dig.bank": dug / volume,
    }


def counterforts(metric):
    lines = cantilever(metric)
    site = straight(metric)
    stem, every, long, thick = dims(metric, (1, 10, 4, 1), (0.3, 3, 1.2, 0.3))
    volume, forms, count = 0, 0, 0
    for length, height in site.heights():
        here = math.ceil(length / every - 1e-9) + 1
        count += here
        volume += here * height * long / 2 * thick
        # Two triangles and the sloping back, less the stem behind.
        forms += here * (height * long + math.hypot(height, long) * thick - height * thick)
    lines["forts.count"] = count
    lines["stem.total"] += volume / site.volume
    lines["forms.contact"] += forms
    return lines


def segmental(metric):
    if metric:
        site = Site(True, 12, 4.95, (30.2, 30.4), 0.15, 31.2, 31.8)
        wide, thick, unit, course, gravel, layer = 0.6, 0.15, 0.45, 0.2, 0.3, 1.8
        depth = 0.3
    else:
        site = Site(False, 40, 16.5, (100 + 2 / 3, 101 + 1 / 3), 0.5, 104, 106)
        wide, thick, unit, course, gravel, layer = 2, 0.5, 1.5, 8 * INCH, 1, 6
        depth = 1
    units = site.face() / (unit * course)
    return {
        "footing.total": site.footing(wide, thick),
        "units.face": site.face(),
        "units.laid": units,
        "units.order": math.ceil(units * 1.03),
        "units.caps": math.ceil(site.long / unit - 1e-9),
        "gravel": site.face() * gravel / site.volume,
        "layers.area": 2 * layer * site.long,
        "layers.fill": site.face() * (layer - depth - gravel) / site.volume,
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def ring(metric):
    long, short, wide, thick, toe, stem = dims(metric, (20, 14, 4, 1, 1, 1), (6, 4.2, 1.2, 0.3, 0.3, 0.3))
    tof, top, ground = dims(metric, (102, 107, 104), (30.6, 32.1, 31.2))
    volume = 1 if metric else 27
    # Rings in plan as an outer rectangle less an inner one; the exposed faces lie outside.
    outer = (long + 2 * toe) * (short + 2 * toe)
    inner = (long + 2 * toe - 2 * wide) * (short + 2 * toe - 2 * wide)
    around = 2 * (long + short)
    walls = long * short - (long - 2 * stem) * (short - 2 * stem)
    height, deep = top - tof, ground - tof + thick
    return {
        "footing.total": (outer - inner) * thick / volume,
        "stem.total": walls * height / volume,
        "forms.contact": (around + around - 8 * stem) * height,
        # The section along the exposed face.
        "dig.bank": around * (wide * deep + 0.75 * deep * deep) / volume,
    }


def wings(metric):
    wing, head, wide, thick, toe, stem = dims(metric, (14, 18, 6, 1, 1.5, 1), (4.2, 5.4, 1.8, 0.3, 0.45, 0.3))
    tof, top, ground = dims(metric, (102, 110, 107), (30.6, 33, 32.1))
    volume = 1 if metric else 27
    long, height, deep = 2 * wing + head, top - tof, ground - tof + thick
    half = math.tan(math.radians(22.5))
    # Two concave corners: a strip from a to b beyond the face is longer by (a + b) tan 22.5 at each.
    strip = lambda a, b: (b - a) * long + 2 * (b * b - a * a) * half
    heel = wide - toe
    bank = 1.5 * deep
    # A triangle's area by the length at its centroid.
    layback = bank * deep / 2 * (long + 4 * half * (heel + bank / 3))
    return {
        "footing.total": strip(-toe, heel) * thick / volume,
        "stem.total": strip(0, stem) * height / volume,
        "forms.contact": (2 * long + 4 * stem * half) * height + 2 * stem * height,
        "dig.bank": (strip(-toe, heel) * deep + layback) / volume,
    }


def curve(metric):
    """A straight wall, chords on an arc with the earth inside, a straight wall; the step stands on a corner between chords."""
    wide, thick, toe, stem = dims(metric, (6, 1, 1.5, 1), (1.8, 0.3, 0.45, 0.3))
    radius, chord, legs = dims(metric, (60, 8, (16 + 0.5 * INCH, 12 + 0.5 * INCH)), (18, 2.4, (4.812, 3.612)))
    tofs, top, ground = dims(metric, ((101, 102), 110, 107), ((30.3, 30.6), 33, 32.1))
    overlap, volume = dims(metric, (1, 27), (0.3, 1))
    # Half the angle of a chord that is so long on the earth face: repeated substitution.
    half = chord / 2 / (radius - stem)
    for _ in range(200):
        half = math.asin((chord / 2 + stem * math.tan(half)) / radius)
    sweep = math.radians(45)
    count = int(sweep / (2 * half))
    halves = [half] * count + [sweep / 2 - count * half]
    lengths = [legs[0], *(2 * radius * math.sin(each) for each in halves), legs[1]]
    # Each corner turns by half of both chords beside it; a leg is a tangent.
    beside = [0, *halves, 0]
    tangents = [math.tan((a + b) / 2) for a, b in zip(beside, beside[1:])]
    steps_after = 4  # The leg and three chords stand low.
    tof = [tofs[0] if at < steps_after else tofs[1] for at in range(len(lengths))]
    heights = [top - each for each in tof]
    # A strip from a to b beside the face is shorter by (a + b) tan at each end that is a corner.
    ends = [(tangents[at - 1] if at else 0) + (tangents[at] if at < len(tangents) else 0) for at in range(len(lengths))]
    strip = lambda at, a, b: (b - a) * lengths[at] - (b * b - a * a) / 2 * ends[at]
    walls = range(len(lengths))
    heel = wide - toe
    footing = sum(strip(at, -toe, heel) for at in walls) * thick + wide * overlap * (tofs[1] - tofs[0])
    faces = sum(heights[at] * (2 * lengths[at] - stem * ends[at]) for at in walls)
    low, high = tofs[0] - thick, tofs[1] - thick
    below = sum(lengths[:steps_after]) + overlap
    dig = 0
    for length, bottom in ((below, low), (sum(lengths) - below, high)):
        deep = ground - bottom
        dig += length * (wide * deep + 0.75 * deep * deep)
    for corner, tangent in enumerate(tangents):
        # The wall before a corner and the wall after it; beside the step the lower bottom reaches over the corner.
        for at in (corner, corner + 1):
            bottom = low if at <= steps_after and not (at == steps_after and corner == steps_after) else high
            deep = ground - bottom
            square = ((heel + 1.5 * deep) ** 3 - heel**3) / 4.5
            dig -= tangent / 2 * (square - toe * toe * deep)
    return {
        "footing.total": footing / volume,
        "stem.total": sum(strip(at, 0, stem) * heights[at] for at in walls) / volume,
        "forms.contact": faces + stem * (heights[0] + heights[-1]),
        "dig.bank": dig / volume,
    }


def sloping_top(metric):
    """The straight site whose top falls from the step to the end; the footing is narrower where the stem is low."""
    site = straight(metric)
    wide, narrow, thick, stem = dims(metric, (6, 4, 1, 1), (1.8, 1.2, 0.3, 0.3))
    low, narrow_from = dims(metric, (107, 26), (32.1, 7.8))
    (first, high), (rest, start) = site.heights()
    face = first * high + rest * (start + low - site.tofs[1]) / 2
    by_width = [(narrow_from, wide), (site.long - narrow_from, narrow)]
    footing = sum(length * width for length, width in by_width) * thick + wide * site.overlap * (site.tofs[1] - site.tofs[0])
    # The lower bottom up to the dirt cut, then the upper one under the wide and the narrow footing.
    cut = site.riser + site.overlap
    dig = 0
    for length, width, tof in ((cut, wide, 0), (narrow_from - cut, wide, 1), (site.long - narrow_from, narrow, 1)):
        deep = site.ground - site.tofs[tof] + thick
        dig += length * (width * deep + 0.75 * deep * deep)
    return {
        "footing.total": footing / site.volume,
        "stem.total": face * stem / site.volume,
        "forms.contact": 2 * face + stem * (high + low - site.tofs[1]),
        "dig.bank": dig / site.volume,
    }


def pilasters(metric):
    lines = cantilever(metric)
    site = straight(metric)
    # 4, 12 ft and so on: two before the step, three after it; 1.2, 3.6 m and so on: the same.
    wide, deep = dims(metric, (16 * INCH, 8 * INCH), (0.4, 0.2))
    (_, high), (_, low) = site.heights()
    tall = 2 * high + 3 * low
    lines["pilasters.count"] = 5
    lines["stem.total"] += tall * wide * deep / site.volume
    lines["forms.contact"] += 2 * tall * deep
    return lines


def offset(metric):
    lines = cantilever(metric)
    site = straight(metric)
    more, down = dims(metric, (0.5, 4), (0.15, 1.2))
    below = [(length, height - down) for length, height in site.heights()]
    lines["stem.total"] += sum(length * height for length, height in below) * more / site.volume
    lines["forms.contact"] += more * (below[0][1] + below[-1][1])
    lines["forms.offset"] = site.long
    return lines


def low_wall(metric):
    if metric:
        site = Site(True, 12, 5.4, (30.15, 30.45), 0.15, 30.9, 31.05)
        wide, thick, stem, face, joints = 0.4, 0.15, 0.2, 0.15, 3
    else:
        site = Site(False, 40, 18, (100.5, 101.5), 0.5, 103, 103.5)
        wide, thick, stem, face, joints = 16 * INCH, 0.5, 8 * INCH, 0.5, 3
    return {
        "footing.total": site.footing(wide, thick),
        "stem.total": site.stem(stem),
        "pour.total": site.footing(wide, thick) + site.stem(stem),
        "forms.contact": site.contact(stem),
        "joints.count": joints,
        "joints.length": joints * (stem + face),
        "finish.area": site.long * (stem + face),
        "dig.bank": site.dig(wide, thick, 1.5),
    }


def pads(metric):
    pad, wide, thick, pier, space = dims(metric, (4, 4, 1, 16 * INCH, 1), (1.2, 1.2, 0.3, 0.4, 0.3))
    # Three pads before the step, two after it: heights of their piers, depths of their pits.
    rows, volume = dims(metric, ([(3, 5, 3.5), (2, 4, 2.5)], 27), ([(3, 1.5, 1.05), (2, 1.2, 0.75)], 1))
    pit = 0
    for count, _, deep in rows:
        # A pyramid's frustum: its two areas and the root of their product.
        floor, ground = (pad + 2 * space) ** 2, (pad + 2 * space + 2 * 0.25 * deep) ** 2
        pit += count * deep / 3 * (floor + ground + math.sqrt(floor * ground))
    tall = sum(count * height for count, height, _ in rows)
    return {
        "pads.count": 5,
        "footing.total": 5 * pad * wide * thick / volume,
        "stem.total": tall * pier * pier / volume,
        "edge.forms": 5 * 2 * (pad + wide) * thick,
        "forms.contact": tall * 4 * pier,
        "dig.bank": pit / volume,
    }


def upper_terrace(metric):
    wide, thick, stem = dims(metric, (6, 1, 10 * INCH), (1.8, 0.3, 0.25))
    if metric:
        site = Site(True, 9.6, 4.8, (32.7, 33), 0.3, 34.2, 35.4)
    else:
        site = Site(False, 32, 16, (109, 110), 1, 114, 118)
    return {
        "footing.total": site.footing(wide, thick),
        "stem.total": site.stem(stem),
        "forms.contact": site.contact(stem),
        "dig.bank": site.dig(wide, thick, 1.5),
    }


CASES = {
    "stepped_wall": cantilever, "keyed_wall": keyed, "one_level_wall": one_level, "gravity_wall": gravity,
    "battered_wall": one_face, "foundation_wall": foundation, "block_wall": block, "wing_walls": wings,
    "closed_ring": ring, "strip_footing": strip, "stepped_top": stepped_top, "counterfort_wall": counterforts,
    "segmental_wall": segmental, "curved_wall": curve, "sloping_top": sloping_top,
    "pilaster_wall": pilasters, "offset_wall": offset, "low_wall": low_wall, "pads_in_a_row": pads,
    "terraces": cantilever,
}
# Further jobs of a case, beside its job.toml.
BESIDE = {("terraces", "upper"): upper_terrace}




def write(name, file, by_hand):
    for metric in (False, True):
        folder = pathlib.Path(sys.argv[1]) / name / ("metric" if metric else "")
        with open(folder / file, "w", newline="") as out:
            table = csv.writer(out, lineterminator="\n")
            table.writerow(["line", "quantity"])
            for line, quantity in by_hand(metric).items():
                table.writerow([line, f"{quantity:.6f}".rstrip("0").rstrip(".")])


for name, by_hand in CASES.items():
    write(name, "hand.csv", by_hand)
for (name, job), by_hand in BESIDE.items():
    write(name, f"{job}-hand.csv", by_hand)
