//! The surveyor's list and how it is read and screened.

use super::super::KeyKind;
use super::super::KeyKind::{Choice, Count, Elevation, Length, OneOrMore, Text, Texts};
use super::Need::{Default, Optional, Required, Usual};
use super::{Part, key, table};
use crate::survey::LengthUnit;
use crate::table::DecimalMark;

const UNIT: KeyKind = Choice(&LengthUnit::NAMES);

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table("shots", false, true, "the surveyor's list and how it is screened"),
        table(
            "shots.columns",
            false,
            false,
            "headings of the list, or numbers of its columns, where they are not recognised",
        ),
        table("shots.units", false, false, "units of single columns, where the list states none"),
        table("shots.setup[]", false, false, "a set-up of the level, for a list of rod readings"),
        table(
            "shots.codes",
            false,
            false,
            "codes of the shots that are points of each ground line",
        ),
    ],
    keys: &[
        key(
            "shots.file",
            OneOrMore,
            Optional,
            "xlsx or csv, from the job's folder; or a list of such",
        ),
        key(
            "shots.sheet",
            OneOrMore,
            Optional,
            "sheet of a workbook, or a list of sheets; needed where more than one could be the list",
        ),
        key(
            "shots.heading_row",
            Count(1, 2_000_000),
            Optional,
            "row of the headings; the list goes from there to the next headings",
        ),
        key(
            "shots.decimal",
            Choice(&DecimalMark::NAMES),
            Optional,
            "mark before decimals, where the numbers of a list do not prove it",
        ),
        key(
            "shots.length_unit",
            Choice(&LengthUnit::NAMES),
            Optional,
            "unit of every column that states none; needed when the headings do not state it",
        ),
        key("shots.units.northing", UNIT, Optional, "unit of the northings alone"),
        key("shots.units.easting", UNIT, Optional, "unit of the eastings alone"),
        key("shots.units.elevation", UNIT, Optional, "unit of the elevations alone"),
        key("shots.units.station", UNIT, Optional, "unit of the stations alone"),
        key("shots.units.offset", UNIT, Optional, "unit of the offsets alone"),
        key("shots.units.rod", UNIT, Optional, "unit of the rod readings alone"),
        key("shots.units.backsight", UNIT, Optional, "unit of the backsights alone"),
        key("shots.units.foresight", UNIT, Optional, "unit of the foresights alone"),
        key("shots.columns.point", Text, Optional, "heading of the point names"),
        key("shots.columns.northing", Text, Optional, "heading of the northings"),
        key("shots.columns.easting", Text, Optional, "heading of the eastings"),
        key("shots.columns.elevation", Text, Optional, "heading of the elevations"),
        key("shots.columns.code", Text, Optional, "heading of the codes"),
        key("shots.columns.wall", Text, Optional, "heading of the walls that stations are on"),
        key("shots.columns.station", Text, Optional, "heading of the stations"),
        key(
            "shots.columns.offset",
            Text,
            Optional,
            "heading of the offsets, positive towards the earth",
        ),
        key("shots.columns.rod", Text, Optional, "heading of the rod readings"),
        key("shots.columns.backsight", Text, Optional, "heading of the backsights of a level note"),
        key("shots.columns.foresight", Text, Optional, "heading of the foresights"),
        key(
            "shots.misclosure",
            Length("0 ft", "1 ft"),
            Usual("0.02 ft", "6 mm"),
            "most that a level note may come out from a known height; common practice, no source",
        ),
        key(
            "shots.setup[].from_line",
            Count(1, 2_000_000),
            Required,
            "first row of the list that it holds for",
        ),
        key(
            "shots.setup[].instrument_height",
            Elevation,
            Optional,
            "elevation of the line of sight",
        ),
        key("shots.setup[].elevation", Elevation, Optional, "elevation of the benchmark sighted"),
        key("shots.setup[].backsight", Length("-100 ft", "100 ft"), Optional, "rod reading on it"),
        key(
            "shots.rod_sign",
            Choice(&["rod", "height"]),
            Optional,
            "rod: readings count down from the line of sight, as if not said; height: they are written with the sign of a height. To be said where most readings are negative; it holds for backsights and foresights of a level note too, not for shots.setup",
        ),
        key(
            "shots.turning_codes",
            Texts,
            Default("TP, CP, BM"),
            "codes that are no ground in a list of rod readings",
        ),
        key(
            "shots.codes.finished_low",
            Texts,
            Optional,
            "code of finished grade on the low side, or several",
        ),
        key(
            "shots.codes.bearing",
            Texts,
            Optional,
            "code of the top of bearing, or several; never guessed",
        ),
        key("shots.codes.existing", Texts, Optional, "code of existing ground, or several"),
        key(
            "shots.code_map",
            Texts,
            Optional,
            "codes of the list that stand for others, such as \"GS = EG\"",
        ),
        key(
            "shots.uncoded",
            Choice(&["finished_low", "bearing", "existing"]),
            Optional,
            "ground that the shots without a code are",
        ),
        key(
            "shots.reach",
            Length("0 ft", "1000 ft"),
            Usual("6 ft", "2 m"),
            "farthest that a shot may be from the exposed face",
        ),
        key(
            "shots.outlier_codes",
            Texts,
            Default(""),
            "codes that are tested for height among their neighbours",
        ),
        key(
            "shots.outlier_limit",
            Length("0 ft", "1000 ft"),
            Usual("3 ft", "1 m"),
            "largest difference from the median of the neighbours",
        ),
        key("shots.outlier_neighbours", Count(1, 100), Default("4"), "number of neighbours"),
        key(
            "shots.duplicate_xy",
            Length("0 ft", "10 ft"),
            Usual("0.05 ft", "15 mm"),
            "largest difference in N and E of one point shot twice",
        ),
        key(
            "shots.duplicate_z",
            Length("0 ft", "10 ft"),
            Usual("0.05 ft", "15 mm"),
            "largest difference in height of one point shot twice",
        ),
    ],
};
