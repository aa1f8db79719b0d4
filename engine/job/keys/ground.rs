//! Ground lines.

use super::super::KeyKind::{Choice, Count, Length, Stations};
use super::Need::{Default, Optional};
use super::{Part, key, table};
use crate::survey::Surface;

const SURFACE: &str = "what the ground is between shots: level across the wall, or a line on each side of the exposed face, a plane through the nearest shots, or triangles";
const NEIGHBOURS: &str = "shots through which a plane is laid";
const TOE: &str = "how far in front of the exposed face the surface is cut; without toe and heel at the face; with both the lower cut counts, for existing ground the mean";
const HEEL: &str = "how far behind the exposed face the surface is cut";

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table(
            "ground",
            false,
            true,
            "ground lines that do not come from shots, and gaps that are flagged",
        ),
        table("ground.finished_low", false, true, "finished grade on the low side"),
        table("ground.bearing", false, true, "top of bearing"),
        table("ground.existing", false, true, "existing ground"),
    ],
    keys: &[
        key(
            "ground.finished_low.stations",
            Stations,
            Optional,
            "list of [running station, elevation] in place of shots",
        ),
        key(
            "ground.finished_low.from",
            Choice(&["bearing", "existing"]),
            Optional,
            "another line that this one is taken from",
        ),
        key(
            "ground.finished_low.below",
            Length("-100 ft", "100 ft"),
            Optional,
            "how much lower than that line",
        ),
        key("ground.finished_low.surface", Choice(&Surface::NAMES), Default("level"), SURFACE),
        key("ground.finished_low.neighbours", Count(3, 100), Default("6"), NEIGHBOURS),
        key("ground.finished_low.toe", Length("0 ft", "100 ft"), Optional, TOE),
        key("ground.finished_low.heel", Length("0 ft", "100 ft"), Optional, HEEL),
        key(
            "ground.finished_low.largest_gap",
            Length("0 ft", "10000 ft"),
            Optional,
            "larger gaps between points are flagged",
        ),
        key(
            "ground.bearing.stations",
            Stations,
            Optional,
            "list of [running station, elevation] in place of shots",
        ),
        key(
            "ground.bearing.from",
            Choice(&["finished_low", "existing"]),
            Optional,
            "another line that this one is taken from",
        ),
        key(
            "ground.bearing.below",
            Length("-100 ft", "100 ft"),
            Optional,
            "how much lower than that line",
        ),
        key("ground.bearing.surface", Choice(&Surface::NAMES), Default("level"), SURFACE),
        key("ground.bearing.neighbours", Count(3, 100), Default("6"), NEIGHBOURS),
        key("ground.bearing.toe", Length("0 ft", "100 ft"), Optional, TOE),
        key("ground.bearing.heel", Length("0 ft", "100 ft"), Optional, HEEL),
        key(
            "ground.bearing.largest_gap",
            Length("0 ft", "10000 ft"),
            Optional,
            "larger gaps between points are flagged",
        ),
        key(
            "ground.existing.stations",
            Stations,
            Optional,
            "list of [running station, elevation] in place of shots",
        ),
        key(
            "ground.existing.from",
            Choice(&["finished_low", "bearing"]),
            Optional,
            "another line that this one is taken from",
        ),
        key(
            "ground.existing.below",
            Length("-100 ft", "100 ft"),
            Optional,
            "how much lower than that line; negative is higher",
        ),
        key("ground.existing.surface", Choice(&Surface::NAMES), Default("level"), SURFACE),
        key("ground.existing.neighbours", Count(3, 100), Default("6"), NEIGHBOURS),
        key("ground.existing.toe", Length("0 ft", "100 ft"), Optional, TOE),
        key("ground.existing.heel", Length("0 ft", "100 ft"), Optional, HEEL),
        key(
            "ground.existing.largest_gap",
            Length("0 ft", "10000 ft"),
            Optional,
            "larger gaps between points are flagged",
        ),
    ],
};
