"""Values of corners that turn by any angle, from polygons: what tests/data/corners.json holds.

Usage: corners.py > tests/data/corners.json

Two walls meet at the origin: A, 40 ft, comes along x from the left; B, 30 ft, leaves after the turn, to the left for a
convex corner and to the right for a concave one, the earth on the left. Every shape is built from half planes and
measured by the polygon library; none of the closed formulas of the engine is used. Needs shapely.
"""

import json
import math

from shapely import set_precision
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, box
from shapely.ops import unary_union

FAR = 1000.0
LENGTHS = (40.0, 30.0)
TOPS = (210.0, 208.0)
TOF, GROUND, K = 200.0, 206.0, 1.0
STEMS = (1.0, 10 / 12)
# Width, thickness, toe of the footings under A (stem 10 ft) and B (8 ft).
FOOTINGS = ((6.25, 1.25, 1.5), (5.0, 1.0, 1.25))
FACE, BACK = 1 / 12, 1 / 6  # How the faces of the battered stems lean.
SPACE = (1.0, 2.0)  # Work space on the toe side and on the heel side.


class Wall:
    """A wall in plan: where it starts, the way it runs, the earth on its left."""

    def __init__(self, degrees, start, length):
        self.degrees, self.start, self.length = degrees, start, length

    def strip(self, low, high, before=0.0, after=0.0):
        """Between two offsets from the exposed face, longer at its ends by so much."""
        shape = box(-before, low, self.length + after, high)
        return self.placed(shape)

    def side(self, offset, earth):
        """All that lies beyond an offset, towards the earth or away from it."""
        low, high = (offset, FAR) if earth else (-FAR, offset)
        return self.placed(box(-FAR, low, FAR, high))

    def line(self, offset):
        return self.placed(LineString([(-FAR, offset), (FAR, offset)]))

    def placed(self, shape):
        return translate(rotate(shape, self.degrees, origin=(0, 0)), *self.start)


def walls(turn, convex):
    a = Wall(0.0, (-LENGTHS[0], 0.0), LENGTHS[0])
    b = Wall(turn if convex else -turn, (0.0, 0.0), LENGTHS[1])
    return a, b


def through(a, b, of_a, of_b, convex):
    """The strip of A up to the crossing, that of B, and the crossing of both."""
    long_a, long_b = a.strip(*of_a, after=FAR), b.strip(*of_b, before=FAR)
    crossing = long_a.intersection(long_b)
    # The part before the crossing lies on the near side of the other strip.
    if convex:
        a_alone = long_a.intersection(b.side(of_b[1], True))
        b_alone = long_b.intersection(a.side(of_a[1], True))
    else:
        a_alone = long_a.intersection(b.side(of_b[0], False))
        b_alone = long_b.intersection(a.side(of_a[0], False))
    return a_alone, b_alone, crossing


def edge(wall, own, other, other_offset, at_end):
    """Length of a line along a wall, from its free end to where the other wall's line crosses it."""
    point = wall.line(own).intersection(other.line(other_offset))
    free = wall.placed(LineString([(0, own), (wall.length, own)])).coords
    start = free[0] if at_end else free[1]
    return math.dist(start, point.coords[0])


def joined(parts):
    """Parts that touch as one, on a grid of a thousandth of a thousandth of an inch, so that no seam stays open."""
    return unary_union([set_precision(part, 1e-7) for part in parts])


def leaning(a, b, halving, stems):
    """Volume and faces of stems whose faces lean, each ending at the plane that halves the corner; slices from the top."""
    volume, faces = 0.0, 0.0
    for index, (wall, height) in enumerate(zip((a, b), stems)):
        thick = STEMS[index]
        grown = {"after": FAR} if index == 0 else {"before": FAR}

        def cut(shape):
            return shape.intersection(halving.side(0.0, index == 0))

        def slice_at(deep, wall=wall, thick=thick, grown=grown):
            return cut(wall.strip(-FACE * deep, thick + BACK * deep, **grown)).area

        volume += height / 6 * (slice_at(0) + 4 * slice_at(height / 2) + slice_at(height))
        for lean, offset in ((FACE, lambda deep: -FACE * deep), (BACK, lambda deep, thick=thick: thick + BACK * deep)):
            long = [
                cut(wall.placed(LineString([(-FAR if index == 1 else 0, offset(deep)), (FAR if index == 0 else wall.length, offset(deep))]))).length
                for deep in (0.0, height)
            ]
            faces += (long[0] + long[1]) / 2 * height * math.sqrt(1 + lean * lean)
        faces += height * (thick + (FACE + BACK) * height / 2)
    # Where the tops differ: the difference of the sections over one footing.
    taller, lower = (0, 1) if stems[0] > stems[1] else (1, 0)
    section = lambda i: stems[i] * (STEMS[i] + (FACE + BACK) * stems[i] / 2)
    return volume, faces + section(taller) - section(lower)


def case(turn, convex):
    a, b = walls(turn, convex)
    stems = [top - TOF for top in TOPS]
    alone_a, alone_b, crossing = through(a, b, (0, STEMS[0]), (0, STEMS[1]), convex)
    stem = alone_a.area * stems[0] + alone_b.area * stems[1] + crossing.area * max(stems)
    sides = [(-toe, width - toe) for width, _, toe in FOOTINGS]
    thick = [thickness for _, thickness, _ in FOOTINGS]
    foot_a, foot_b, foot_crossing = through(a, b, *sides, convex)
    footing = foot_a.area * thick[0] + foot_b.area * thick[1] + foot_crossing.area * max(thick)

    # Contact: the outline of the plan under the lower top, and that of the taller wall, which runs through, above it.
    low = joined([alone_a, alone_b, crossing])
    high = joined([alone_a, crossing])
    contact = low.length * min(stems) + high.length * (max(stems) - min(stems))

    toe = [edge(a, sides[0][0], b, sides[1][0], True), edge(b, sides[1][0], a, sides[0][0], False)]
    heel = [edge(a, sides[0][1], b, sides[1][1], True), edge(b, sides[1][1], a, sides[0][1], False)]
    earth = [edge(a, STEMS[0], b, STEMS[1], True), edge(b, STEMS[1], a, STEMS[0], False)]

    # The dig: each section ends at the plane that halves the corner; slices from the bottom up, exact by Simpson.
    half = (turn if convex else -turn) / 2
    halving = Wall(90.0 + half, (0.0, 0.0), 0.0)
    dig = 0.0
    for index, wall in enumerate((a, b)):
        width, thickness, toe_side = FOOTINGS[index]
        near, far = -toe_side - SPACE[0], width - toe_side + SPACE[1]
        bottom = TOF - thickness

        def slice_at(z, wall=wall, near=near, far=far, index=index):
            back = far + K * max(0.0, z - TOF)
            grown = {"after": FAR} if index == 0 else {"before": FAR}
            shape = wall.strip(near, back, **grown)
            return shape.intersection(halving.side(0.0, index == 0)).area

        dig += slice_at(bottom) * thickness
        middle = (TOF + GROUND) / 2
        # From the top of footing up the area is of the second degree.
        dig += (GROUND - TOF) / 6 * (slice_at(TOF) + 4 * slice_at(middle) + slice_at(GROUND))
    battered, sloped = leaning(a, b, halving, stems)
    return {
        "turn_deg": turn, "kind": "convex" if convex else "concave",
        "stem_cf": stem, "footing_cf": footing, "contact_sf": contact,
        "toe_edges_ft": toe, "heel_edges_ft": heel, "earth_faces_ft": earth, "dig_mitred_cf": dig,
        "battered_cf": battered, "battered_contact_sf": sloped,
    }


def rounded(value):
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return value


cases = [case(turn, convex) for turn in (15.0, 30.0, 45.0, 60.0, 75.0, 90.0, 105.0, 120.0) for convex in (True, False)]
print(json.dumps([{key: rounded(value) for key, value in one.items()} for one in cases], indent=1))
