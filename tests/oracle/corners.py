"""Values of corners that turn by any angle, from polygons: what tests/data/corners.json holds.

Usage: corners.py > tests/data/corners.json

Two walls meet at the origin: A, 40 ft, comes along x from the left; B, 30 ft, leaves after the turn, to the left for a
convex corner and to the right for a concave one, the earth on the left. Where lines end is where the polygon library
crosses them; areas are those of its polygons; none of the closed formulas of the engine is used. Needs shapely.
"""

import json
import math

from shapely import set_precision
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box
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


def end_point(wall, own, other, other_offset, halving, bend):
    """Where a line of a wall ends at the corner: on the plane that halves a bend, else on the other wall's line."""
    return wall.line(own).intersection(halving if bend else other.line(other_offset)).coords[0]


def free_point(wall, own, first):
    return wall.placed(LineString([(0, own), (wall.length, own)])).coords[0 if first else 1]


def piece(wall, own, other, beside, halving, bend, first):
    """A strip from its free end to the corner, as a polygon; the length of its end; its two edges."""
    ends = [end_point(wall, own[i], other, beside[i], halving, bend) for i in (0, 1)]
    free = [free_point(wall, own[i], first) for i in (0, 1)]
    edges = [math.dist(ends[i], free[i]) for i in (0, 1)]
    return Polygon([free[0], ends[0], ends[1], free[1]]).area, math.dist(*ends), edges


def joined(parts):
    """Parts that touch as one, on a grid of a thousandth of a thousandth of an inch, so that no seam stays open."""
    return unary_union([set_precision(part, 1e-7) for part in parts])


def simpson(area, low, high):
    return (high - low) / 6 * (area(low) + 4 * area((low + high) / 2) + area(high))


def case(turn, convex):
    a, b = walls(turn, convex)
    pair = ((a, b, 0, 1), (b, a, 1, 0))
    bend, square = turn < 30, turn == 90
    half = (turn if convex else -turn) / 2
    halving = Wall(90.0 + half, (0.0, 0.0), 0.0).line(0.0)
    heights = [top - TOF for top in TOPS]
    sides = [(-toe, width - toe) for width, _, toe in FOOTINGS]
    thick = [thickness for _, thickness, _ in FOOTINGS]

    def strips(low_high):
        return [piece(wall, low_high[i], other, low_high[j], halving, bend, i == 0) for wall, other, i, j in pair]

    stems, footings = strips([(0, t) for t in STEMS]), strips(sides)
    if square:
        # What is taller or thicker runs through.
        alone = through(a, b, (0, STEMS[0]), (0, STEMS[1]), convex)
        stem = alone[0].area * heights[0] + alone[1].area * heights[1] + alone[2].area * max(heights)
        foot = through(a, b, *sides, convex)
        footing = foot[0].area * thick[0] + foot[1].area * thick[1] + foot[2].area * max(thick)
        low, high = joined(alone), joined([alone[0], alone[2]])
        contact = low.length * min(heights) + high.length * (max(heights) - min(heights))
    else:
        stem = sum(area * height for (area, _, _), height in zip(stems, heights))
        footing = sum(area * thickness for (area, _, _), thickness in zip(footings, thick))
        contact = sum(sum(edges) * height for (_, _, edges), height in zip(stems, heights))
        contact += sum(t * height for t, height in zip(STEMS, heights))
        # Of the two ends that meet, what of one stands beyond the other.
        ends = [end for _, end, _ in stems]
        both = min(ends) * min(heights)
        contact += ends[0] * heights[0] + ends[1] * heights[1] - 2 * both

    def dug(z):
        across = [(near - SPACE[0], far + SPACE[1] + K * max(0.0, z - TOF)) for near, far in sides]
        return [area for area, _, _ in strips(across)]

    dig = 0.0
    for i in (0, 1):
        bottom = TOF - thick[i]
        dig += simpson(lambda z: dug(z)[i], bottom, TOF) + simpson(lambda z: dug(z)[i], TOF, GROUND)

    # Battered stems, one elevation at a time: over the lower top the line of that top goes on.
    def leaning(z):
        deep = [max(0.0, top - z) for top in TOPS]
        return strips([(-FACE * d, t + BACK * d) for d, t in zip(deep, STEMS)])

    battered, sloped = 0.0, 0.0
    section = lambda i, height: height * (STEMS[i] + (FACE + BACK) * height / 2)
    lower = min(TOPS)
    for i in (0, 1):
        for low, high in ((TOF, lower), (lower, TOPS[i])):
            battered += simpson(lambda z: leaning(z)[i][0], low, high)
            for edge, lean in ((0, FACE), (1, BACK)):
                long = [leaning(z)[i][2][edge] for z in (low, high)]
                sloped += sum(long) / 2 * (high - low) * math.sqrt(1 + lean * lean)
        sloped += section(i, heights[i])
    # What the taller one shows over the lower top: its end at the top, wider by half of what it leans out till there.
    taller, over = TOPS.index(max(TOPS)), max(TOPS) - lower
    shown = sum(STEMS) if square else stems[taller][1]
    sloped += (shown + (FACE + BACK) * over / 2) * over
    return {
        "turn_deg": turn, "kind": "convex" if convex else "concave",
        "stem_cf": stem, "footing_cf": footing, "contact_sf": contact,
        "toe_edges_ft": [edges[0] for _, _, edges in footings],
        "heel_edges_ft": [edges[1] for _, _, edges in footings],
        "earth_faces_ft": [edges[1] for _, _, edges in stems],
        "dig_mitred_cf": dig, "battered_cf": battered, "battered_contact_sf": sloped,
    }


def rounded(value):
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return value


cases = [case(turn, convex) for turn in (15.0, 30.0, 45.0, 60.0, 75.0, 90.0, 105.0, 120.0) for convex in (True, False)]
print(json.dumps([{key: rounded(value) for key, value in one.items()} for one in cases], indent=1))
