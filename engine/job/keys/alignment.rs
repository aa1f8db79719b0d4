//! The exposed face in plan, its walls and the benchmark.

use super::super::KeyKind::{Choice, Count, Elevation, Length, Text};
use super::Need::{Default, Optional, Required, Usual};
use super::{Part, key, table};

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table("benchmark", false, false, "a known height and the reading taken on it"),
        table("alignment", true, true, "the exposed face in plan"),
        table(
            "alignment.points[]",
            false,
            false,
            "corners of the exposed face, in order along the walls",
        ),
        table(
            "alignment.start",
            false,
            false,
            "where walls that are given by length and turn begin; without it a frame of their own",
        ),
        table("wall[]", true, false, "one wall, from point to point, in order along the walls"),
        table("wall[].tops[]", true, false, "tops of the wall, from station to station"),
    ],
    keys: &[
        key("benchmark.id", Text, Required, "name of the mark"),
        key("benchmark.what", Text, Optional, "what it is"),
        key("benchmark.elevation", Elevation, Required, "its elevation"),
        key("benchmark.backsight", Length("-100 ft", "100 ft"), Required, "rod reading on it"),
        key(
            "benchmark.pole_mark",
            Length("-100 ft", "100 ft"),
            Optional,
            "its mark on the story pole; higher marks read less",
        ),
        key(
            "benchmark.tolerance",
            Length("0 in", "1 ft"),
            Usual("0.125 in", "3 mm"),
            "how far the mark of a step may be off; common practice",
        ),
        key(
            "alignment.earth_side",
            Choice(&["left", "right"]),
            Required,
            "side of the earth, looking along the walls",
        ),
        key(
            "alignment.shape",
            Choice(&["open", "ring"]),
            Default("open"),
            "ring: the last wall returns to the first",
        ),
        key(
            "alignment.feet",
            Choice(&["ft", "us_survey_ft"]),
            Optional,
            "which foot ft means in corners, levels, tops and the benchmark; to be said where a list in U.S. survey feet and they differ by 0.005 ft or more; with us_survey_ft the whole job counts in survey feet: a list in them is taken as it is, and the stake-out is printed and labelled so",
        ),
        key(
            "alignment.start.east",
            Elevation,
            Optional,
            "easting of the start, for walls by length",
        ),
        key("alignment.start.north", Elevation, Optional, "northing of the start"),
        key(
            "alignment.start.bearing",
            Text,
            Optional,
            "bearing of the first wall, as degrees from north clockwise (\"53.13 deg\") or by quadrant (\"N 24°30' E\"); due east without one",
        ),
        key("alignment.points[].id", Text, Required, "name of the point"),
        key("alignment.points[].north", Elevation, Required, "northing"),
        key("alignment.points[].east", Elevation, Required, "easting"),
        key("wall[].id", Text, Required, "name of the wall"),
        key("wall[].from", Text, Optional, "point where it starts"),
        key("wall[].to", Text, Optional, "point where it ends"),
        key(
            "wall[].length",
            Length("1 in", "1000000 ft"),
            Optional,
            "its length, in place of from and to",
        ),
        key(
            "wall[].turn",
            Text,
            Optional,
            "turn from the wall before it, looking along the walls: left, right, or with the angle, left 45 deg",
        ),
        key(
            "wall[].curve",
            Text,
            Optional,
            "a wall on an arc: side to which it turns and how far, \"left 60 deg\", in a line of walls by length and turn; the side alone, \"left\", between two points. Its stations run along its chords, which are walls of their own, C.1, C.2",
        ),
        key(
            "wall[].radius",
            Length("1 ft", "100000 ft"),
            Optional,
            "radius of the exposed face of a curve",
        ),
        key(
            "wall[].chord",
            Length("6 in", "1000 ft"),
            Optional,
            "length of the chords of a curve on the face that is the shorter one, of whole panels so that none is left over; the last chord is shorter",
        ),
        key(
            "wall[].chords",
            Count(1, 2000),
            Optional,
            "how many equal chords a curve has, in place of chord",
        ),
        key("wall[].stem", Length("1 in", "20 ft"), Required, "stem thickness"),
        key(
            "wall[].grid_origin",
            Choice(&["start", "end"]),
            Optional,
            "end from which the panels are counted, where the corners do not decide it",
        ),
        key(
            "wall[].lead_start",
            Length("0 ft", "100 ft"),
            Optional,
            "kit length at a free start that meets a wall outside the job",
        ),
        key(
            "wall[].lead_end",
            Length("0 ft", "100 ft"),
            Optional,
            "kit length at a free end that meets a wall outside the job",
        ),
        key(
            "wall[].kit_start",
            Length("0 ft", "100 ft"),
            Optional,
            "at a start whose corner is not square: what the kit of corner forms takes of the exposed face, from the corner to the first joint of panels",
        ),
        key(
            "wall[].kit_end",
            Length("0 ft", "100 ft"),
            Optional,
            "the same at an end whose corner is not square",
        ),
        key(
            "wall[].tops[].from",
            Length("0 ft", "1000000 ft"),
            Required,
            "local station from which this top holds, the first 0, the others on joints of forms or courses",
        ),
        key("wall[].tops[].top", Elevation, Required, "top of wall"),
        key(
            "wall[].tops[].end_top",
            Elevation,
            Optional,
            "top where this stretch ends, to which it slopes in a straight line; forms go up to the course over the higher end of each panel",
        ),
    ],
};
