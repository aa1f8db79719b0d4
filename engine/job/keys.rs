//! The one list of keys of a job: it drives the parser, its messages and the generated page.

use super::FORMAT;
use super::Kind;
use crate::earth::{Bank, LaybackFrom};
use crate::measure::{CURRENCIES, Dimension};
use crate::survey::{LengthUnit, Surface};
use crate::table::DecimalMark;
use crate::takeoff::{WallJob, unit_for};

/// Whether a key must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It must, wherever its table is.
    Required,
    /// It may be missing; then this text holds.
    Default(&'static str),
    /// It may be missing; then the first text holds in a job of feet, the second in a metric one.
    Usual(&'static str, &'static str),
    /// It may be missing; then it is not there.
    Optional,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    /// Its path; `[]` stands for each element of a list of tables.
    pub path: &'static str,
    /// What its value is.
    pub kind: Kind,
    /// Whether it must be there.
    pub need: Need,
    /// What it means.
    pub about: &'static str,
}

impl Key {
    /// The unit that a measure of the key is shown in.
    pub fn unit(&self, dimension: Dimension, job: &WallJob) -> String {
        match self.kind {
            Kind::Percent(_) => "percent".to_owned(),
            _ => unit_for(dimension, job.system, &job.currency),
        }
    }
}

/// One table.
#[derive(Debug, Clone, Copy)]
pub struct Table {
    /// Its path.
    pub path: &'static str,
    /// Whether it must be there.
    pub required: bool,
    /// Whether the defaults of its keys hold when it is missing.
    pub defaults: bool,
    /// What it is.
    pub about: &'static str,
}

const fn table(path: &'static str, required: bool, defaults: bool, about: &'static str) -> Table {
    Table { path, required, defaults, about }
}

/// Every table.
pub const TABLES: &[Table] = &[
    table("job", true, true, "names, units and the wall case"),
    table("shots", false, true, "the surveyor's list and how it is screened"),
    table(
        "shots.columns",
        false,
        false,
        "headings of the list, or numbers of its columns, where they are not recognised",
    ),
    table("shots.units", false, false, "units of single columns, where the list states none"),
    table("shots.setup[]", false, false, "a set-up of the level, for a list of rod readings"),
    table("shots.codes", false, false, "codes of the shots that support each ground line"),
    table(
        "ground",
        false,
        true,
        "ground lines that do not come from shots, and gaps that are flagged",
    ),
    table("ground.finished_low", false, true, "finished grade on the low side"),
    table("ground.bearing", false, true, "top of bearing"),
    table("ground.existing", false, true, "existing ground"),
    table("benchmark", false, false, "a known height and the reading taken on it"),
    table("alignment", true, true, "the exposed face in plan"),
    table("alignment.points[]", false, false, "corners of the exposed face, in chain order"),
    table(
        "alignment.start",
        false,
        false,
        "where walls that are given by length and turn begin; without it a frame of their own",
    ),
    table("wall[]", true, false, "one wall, from point to point, in chain order"),
    table("wall[].tops[]", true, false, "tops of the wall, from station to station"),
    table(
        "lock[]",
        false,
        false,
        "a riser or a top of footing fixed or forbidden by hand; what it costs is shown",
    ),
    table(
        "drawn",
        false,
        false,
        "the steps as the plan draws them, set beside the least-cost ones",
    ),
    table(
        "drawn.runs[]",
        true,
        false,
        "a run as drawn, up to the next one's start, in chain order",
    ),
    table("drawn.overlaps[]", false, false, "an overlap as drawn; without one the rules' is taken"),
    table("datum_sweep", false, false, "the layout with the datum of the levels moved"),
    table("module", true, true, "panel and level module"),
    table("rules", true, true, "step rules"),
    table("rules.no_step[]", false, false, "a stretch without risers"),
    table("type[]", true, false, "one row of the wall schedule, by ascending stem height"),
    table("type[].key", false, false, "key under the footing"),
    table("prices", false, true, "prices that the layout rates follow from"),
    table(
        "layout_rates",
        false,
        true,
        "layout rates given outright; each one missing follows from the prices",
    ),
    table(
        "tables",
        false,
        false,
        "tables of a job in the sheets of workbooks: a sheet has the name of its table, such as wall, type or prices",
    ),
    table("bid", false, false, "overhead and profit; with it the workbook has a price sheet"),
    table("allowances", false, true, "waste, swell, layback, drain"),
    table(
        "sheet[]",
        false,
        false,
        "a calc sheet of the job or company: a table with the columns what, name, unit, formula",
    ),
    table("workbook", false, true, "the workbook"),
];

const fn key(path: &'static str, kind: Kind, need: Need, about: &'static str) -> Key {
    Key { path, kind, need, about }
}

use Kind::{
    Amount, Choice, Count, Elevation, Length, OneOrMore, Percent, Slope, Stations, Text, Texts,
};
use Need::{Default, Optional, Required, Usual};

const PER_VOLUME: Kind = Amount(Dimension::MONEY_PER_VOLUME, "42.25 usd/cy");
const PER_AREA: Kind = Amount(Dimension::MONEY_PER_AREA, "9.50 usd/sf");
const EACH: Kind = Amount(Dimension::MONEY, "185 usd");

const UNIT: Kind = Choice(&LengthUnit::NAMES);

const SURFACE: &str = "what the ground is between shots: level across the wall, or a line on each side of the exposed face, a plane through the nearest shots, or triangles";
const NEIGHBOURS: &str = "shots through which a plane is laid";
const TOE: &str = "how far in front of the exposed face the surface is cut; without toe and heel at the face; with both the lower cut counts, for existing ground the mean";
const HEEL: &str = "how far behind the exposed face the surface is cut";

/// Every key.
pub const KEYS: &[Key] = &[
    key("job.name", Text, Required, "name of the job"),
    key(
        "job.format",
        Count(1, FORMAT),
        Optional,
        "format of this file; rodbook renew shows what an older one must say so that its numbers stay",
    ),
    key("job.owner", Text, Optional, "who owns it"),
    key("job.contractor", Text, Optional, "who builds it"),
    key("job.engineer", Text, Optional, "engineer of record"),
    key("job.surveyor", Text, Optional, "who took the shots"),
    key("job.remark", Text, Optional, "a remark"),
    key("job.bid_date", Text, Optional, "date that is printed, yyyy-mm-dd"),
    key(
        "job.units",
        Choice(&["us", "metric"]),
        Default("us"),
        "units of the output; inputs may be in any unit",
    ),
    key("job.currency", Choice(CURRENCIES), Default("usd"), "currency of the prices"),
    key(
        "job.stations",
        Choice(&["100 ft", "1000 m"]),
        Default("100 ft"),
        "what one full station is, as in 12+34.56",
    ),
    key(
        "job.company",
        Text,
        Optional,
        "company folder, from the job's folder; without it the nearest folder named company above the job",
    ),
    key("job.case", Text, Default("stepped_wall"), "wall case: a script of this name"),
    key("shots.file", OneOrMore, Optional, "xlsx or csv, from the job's folder; or a list of such"),
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
    key("shots.setup[].instrument_height", Elevation, Optional, "elevation of the line of sight"),
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
    key(
        "ground.finished_low.stations",
        Stations,
        Optional,
        "list of [chain station, elevation] in place of shots",
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
        "larger gaps between supports are flagged",
    ),
    key(
        "ground.bearing.stations",
        Stations,
        Optional,
        "list of [chain station, elevation] in place of shots",
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
        "larger gaps between supports are flagged",
    ),
    key(
        "ground.existing.stations",
        Stations,
        Optional,
        "list of [chain station, elevation] in place of shots",
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
        "larger gaps between supports are flagged",
    ),
    key("benchmark.id", Text, Required, "name of the mark"),
    key("benchmark.what", Text, Optional, "what it is"),
    key("benchmark.elevation", Elevation, Required, "its elevation"),
    key("benchmark.backsight", Length("-100 ft", "100 ft"), Required, "rod reading on it"),
    key(
        "alignment.earth_side",
        Choice(&["left", "right"]),
        Required,
        "side of the earth, looking along the chain",
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
    key("alignment.start.east", Elevation, Optional, "easting of the start, for walls by length"),
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
        "turn from the wall before it, looking along the chain: left, right, or left 89.95 deg",
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
        "wall[].tops[].from",
        Length("0 ft", "1000000 ft"),
        Required,
        "local station from which this top holds; the first is 0",
    ),
    key("wall[].tops[].top", Elevation, Required, "top of wall"),
    key("module.panel", Length("1 in", "100 ft"), Required, "panel width"),
    key(
        "module.corner_leg",
        Length("0 in", "10 ft"),
        Default("0 in"),
        "leg of the inside corner form",
    ),
    key("module.rise", Length("1 in", "100 ft"), Required, "one level"),
    key("module.level_0", Elevation, Required, "top of footing at level 0"),
    key("module.lowest_level", Count(-1000, 1000), Required, "lowest level that may be used"),
    key("module.highest_level", Count(-1000, 1000), Required, "highest level that may be used"),
    key(
        "rules.frost_depth",
        Length("0 ft", "30 ft"),
        Required,
        "bottom of footing under finished grade on the low side, at least; local codes govern",
    ),
    key(
        "rules.bearing_allowance",
        Length("0 ft", "10 ft"),
        Default("0 ft"),
        "how much higher than the top of bearing the bottom may be; the engineer's word",
    ),
    key(
        "rules.toe_cover",
        Length("0 ft", "30 ft"),
        Optional,
        "ground over the toe of the footing, at least",
    ),
    key("rules.shortest_run", Length("0 ft", "1000 ft"), Required, "shortest run of one level"),
    key("rules.most_levels", Count(1, 100), Default("1"), "most levels that one riser may rise"),
    key(
        "rules.corner_clear",
        Length("0 ft", "1000 ft"),
        Default("0 ft"),
        "least distance from a riser to a corner",
    ),
    key(
        "rules.overlap_step",
        Length("0.1 in", "10 ft"),
        Required,
        "overlaps are whole multiples of this",
    ),
    key("rules.overlap_min", Length("0 in", "100 ft"), Default("0 in"), "least overlap"),
    key(
        "rules.throat",
        Length("0.1 in", "20 ft"),
        Optional,
        "least concrete through a step; without it the thickness of the upper footing",
    ),
    key("rules.no_step[].wall", Text, Required, "wall"),
    key(
        "rules.no_step[].from",
        Length("0 ft", "1000000 ft"),
        Required,
        "local station of its start, included",
    ),
    key(
        "rules.no_step[].to",
        Length("0 ft", "1000000 ft"),
        Required,
        "local station of its end, included",
    ),
    key("lock[].wall", Text, Required, "wall"),
    key(
        "lock[].what",
        Choice(&["riser", "tof", "not tof"]),
        Required,
        "riser: a step stands at from; tof: this top of footing from from to to; not tof: any other",
    ),
    key("lock[].from", Length("0 ft", "1000000 ft"), Required, "local station"),
    key(
        "lock[].to",
        Length("0 ft", "1000000 ft"),
        Optional,
        "local station of its end; not for a riser",
    ),
    key("lock[].tof", Elevation, Optional, "top of footing; not for a riser"),
    key("lock[].why", Text, Optional, "why, printed beside what it costs"),
    key("drawn.runs[].wall", Text, Required, "wall"),
    key("drawn.runs[].from", Length("0 ft", "1000000 ft"), Required, "local station of its start"),
    key("drawn.runs[].tof", Elevation, Required, "top of footing"),
    key("drawn.runs[].type", Text, Required, "wall type"),
    key("drawn.overlaps[].wall", Text, Required, "wall"),
    key(
        "drawn.overlaps[].at",
        Length("0 ft", "1000000 ft"),
        Required,
        "local station of the riser",
    ),
    key("drawn.overlaps[].overlap", Length("0 in", "100 ft"), Required, "from riser to dirt cut"),
    key("datum_sweep.parts", Count(2, 48), Required, "into how many parts a rise is divided"),
    key("type[].id", Text, Required, "name in the plan"),
    key(
        "type[].stem_up_to",
        Length("1 in", "200 ft"),
        Required,
        "greatest stem height that it carries",
    ),
    key("type[].width", Length("1 in", "200 ft"), Required, "footing width"),
    key("type[].thickness", Length("1 in", "50 ft"), Required, "footing thickness"),
    key(
        "type[].toe",
        Length("0 in", "100 ft"),
        Required,
        "from the footing's edge to the exposed face",
    ),
    key("type[].key.width", Length("0.1 in", "50 ft"), Required, "width"),
    key(
        "type[].key.depth",
        Length("0.1 in", "50 ft"),
        Required,
        "depth below the bottom of footing",
    ),
    key("prices.footing_concrete", PER_VOLUME, Optional, "footing concrete delivered"),
    key("prices.wall_concrete", PER_VOLUME, Optional, "wall concrete delivered"),
    key("prices.pump", PER_VOLUME, Optional, "pump"),
    key("prices.wall_forms", PER_AREA, Optional, "wall forms, by contact area"),
    key("prices.strip_and_clean", PER_AREA, Optional, "stripping and cleaning, by contact area"),
    key("prices.riser_each", EACH, Optional, "one footing riser"),
    key(
        "prices.rise",
        Amount(Dimension::MONEY_PER_LENGTH, "45 usd/ft"),
        Optional,
        "footing risers, by height",
    ),
    key("prices.dig", PER_VOLUME, Optional, "digging, by bank volume"),
    key("prices.haul", PER_VOLUME, Optional, "hauling, by loose volume"),
    key("prices.drain_rock", PER_VOLUME, Optional, "drain rock, placed"),
    key("bid.overhead", Percent(100), Required, "overhead on the direct cost, percent"),
    key("bid.profit", Percent(100), Required, "profit on direct cost and overhead, percent"),
    key("layout_rates.footing_concrete", PER_VOLUME, Optional, "footing concrete"),
    key("layout_rates.wall_concrete", PER_VOLUME, Optional, "wall concrete"),
    key("layout_rates.forms_one_face", PER_AREA, Optional, "wall forms, by area of one face"),
    key("layout_rates.dig", PER_VOLUME, Optional, "digging, by bank volume"),
    key("layout_rates.riser_each", EACH, Optional, "one footing riser"),
    key("layout_rates.rise_each_level", EACH, Optional, "each level that a riser rises"),
    key(
        "allowances.work_space",
        Length("0 ft", "30 ft"),
        Default("0 ft"),
        "digging beyond the footing on each side",
    ),
    key(
        "allowances.layback",
        Slope(10),
        Optional,
        "layback of the earth side, horizontal to vertical; without it the published one of the soil class stated",
    ),
    key(
        "allowances.layback_from",
        Choice(LaybackFrom::NAMES),
        Optional,
        "from where up the banks are laid back; without it the bottom, in soil class A the footing's top",
    ),
    key(
        "allowances.dig",
        Choice(&["solid", "section"]),
        Default("solid"),
        "solid: corners, steps and free ends as they are dug; section: along the exposed face only",
    ),
    key(
        "allowances.free_ends",
        Choice(Bank::NAMES),
        Default("laid back"),
        "banks of the dig at the free ends, where it is a solid",
    ),
    key(
        "allowances.low_side",
        Choice(Bank::NAMES),
        Default("straight"),
        "bank of the dig on the low side, where it is a solid",
    ),
    key(
        "allowances.soil_class",
        Choice(&["A", "B", "C"]),
        Optional,
        "soil class as a competent person has stated it",
    ),
    key("allowances.swell", Percent(100), Default("25"), "swell of loose earth, percent"),
    key(
        "allowances.footing_waste",
        Percent(100),
        Default("8"),
        "waste of footing concrete, percent",
    ),
    key("allowances.wall_waste", Percent(100), Default("3"), "waste of wall concrete, percent"),
    key(
        "allowances.order_step",
        Amount(Dimension::VOLUME, "0.5 cy"),
        Usual("0.5 cy", "0.5 m3"),
        "concrete is ordered in whole multiples of this",
    ),
    key(
        "allowances.drain_width",
        Length("0 ft", "30 ft"),
        Usual("1 ft", "300 mm"),
        "drain rock behind the stem",
    ),
    key(
        "allowances.drain_height_less",
        Length("0 ft", "30 ft"),
        Usual("1 ft", "300 mm"),
        "how much lower than the stem the drain rock ends",
    ),
    key(
        "tables.files",
        Texts,
        Required,
        "workbooks in the job or company folder; a list such as wall has its keys as headings, wall.tops names its wall in a column wall, any other table has the columns key and value",
    ),
    key(
        "sheet[].name",
        Text,
        Required,
        "name by which other sheets call its cells; price replaces the bundled one",
    ),
    key("sheet[].file", Text, Required, "csv or workbook, in the job or company folder"),
    key("sheet[].sheet", Text, Optional, "sheet of a workbook; without it the one of that name"),
    key("sheet[].title", Text, Optional, "title in the workbook; without it the name"),
    key(
        "sheet[].per",
        Choice(&["job", "wall"]),
        Default("job"),
        "worked out once for the job, or once for each wall",
    ),
    key("workbook.scripts", Texts, Default(""), "scripts that add a sheet each"),
    key(
        "workbook.ground_interval",
        Length("0.1 ft", "1000 ft"),
        Optional,
        "spacing of the ground table; without it 10 ft or 1 m",
    ),
];
