"""Values of curved walls built as chords, from polygons: what tests/data/curves.json holds.

Usage: curves.py > tests/data/curves.json

A wall on an arc, 8 ft high on one level, its exposed face a chain of chords whose ends lie on the arc. Where the chords end is
searched for here with the offset lines of the polygon library: a chord is right when the shorter of its two faces is as long
as asked. Areas and lengths are those of the library's polygons; none of the engine's closed formulas is used. Needs shapely.
"""

import json
import math

from shapely.geometry import LineString, Point, Polygon

STEM, HEIGHT = 1.0, 8.0
WIDTH, THICKNESS, TOE = 5.0, 1.25, 1.25


def vertices(radius, angles):
    """Points of the exposed face; the curve turns left, so its centre lies to the left."""
    at, points = 0.0, []
    for angle in [0.0, *angles]:
        at += angle
        points.append((radius * math.sin(at), radius - radius * math.cos(at)))
    return points


def offset(points, distance):
    """The line beside a chain of chords, to the left; its ends square to the first and last chord."""
    if distance == 0:
        return LineString(points)
    line = LineString(points).offset_curve(distance, join_style="mitre", mitre_limit=100.0)
    return line


def inner_chord(radius, angle, distance):
    """Length on the offset line of the middle one of five chords."""
    line = offset(vertices(radius, [angle] * 5), distance)
    coords = list(line.coords)
    return math.dist(coords[2], coords[3])


def angle_of(radius, chord, distance):
    low, high = 0.001, 0.5
    for _ in range(80):
        middle = (low + high) / 2
        if inner_chord(radius, middle, distance) < chord:
            low = middle
        else:
            high = middle
    return high


def strip(points, low, high):
    a, b = offset(points, low), offset(points, high)
    return Polygon([*a.coords, *reversed(b.coords)]).area, a.length, b.length


def row(radius, sweep, chord, convex):
    side = 1.0 if convex else -1.0  # The earth on the left of a curve to the left makes it convex.
    step = angle_of(radius, chord, STEM if convex else 0.0)
    total = math.radians(sweep)
    whole = int(total / step + 1e-9)
    angles = [step] * whole
    rest = total - whole * step
    if rest > 1e-6:
        angles.append(rest)
    points = vertices(radius, angles)
    stem, exposed, earth = strip(points, 0.0, side * STEM)
    footing, toe, heel = strip(points, -side * TOE, side * (WIDTH - TOE))
    arc = [(radius * math.sin(t * angles[0] / 1000), radius - radius * math.cos(t * angles[0] / 1000)) for t in range(1001)]
    first = LineString(points[:2])
    off = max(first.distance(Point(p)) for p in arc)
    return {
        "kind": "convex" if convex else "concave",
        "radius_ft": radius,
        "sweep_deg": sweep,
        "chord_ft": chord,
        "chords": len(angles),
        "chord_exposed_ft": math.dist(points[0], points[1]),
        "off_in": off * 12,
        "arc_less_chords_in": (radius * total - LineString(points).length) * 12,
        "stem_cf": stem * HEIGHT,
        "footing_cf": footing * THICKNESS,
        "contact_sf": (exposed + earth) * HEIGHT + 2 * STEM * HEIGHT,
        "edges_ft": [toe, heel],
        # What the longer of the two faces of a whole chord has more.
        "filler_in": (inner_chord(radius, step, 0.0 if convex else -STEM) - chord) * 12,
    }


ROWS = [(50.0, 60.0, 8.0), (25.0, 90.0, 4.0), (100.0, 40.0, 8.0), (20.0, 120.0, 2.0)]
print(json.dumps([row(*r, convex) for r in ROWS for convex in (True, False)], indent=1))
