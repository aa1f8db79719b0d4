//! What a heading says: which role its column has, in which unit, from which datum.
//!
//! A heading is split into words; units, datums and words that change nothing are taken out; what is left must be words of
//! one role and no other. A word that is not known makes it a heading that looks like the role: such a column is offered
//! to the user, never taken by itself.

use super::{LengthUnit, Role};

/// What a heading says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Said {
    /// The role, and whether every word of the heading speaks for it.
    pub(super) role: Option<(Role, bool)>,
    /// The unit.
    pub(super) unit: Option<LengthUnit>,
    /// Among headings of one role: the lower, the plainer.
    pub(super) rank: usize,
    /// A unit that no list is read in.
    pub(super) foreign: bool,
    /// Whether it tells left from right.
    pub(super) side: bool,
}

/// Words that change neither role nor unit.
const NEUTRAL: &[&str] = &[
    "coordinate",
    "coordinates",
    "coord",
    "coords",
    "ordinate",
    "value",
    "values",
    "ground",
    "gnd",
    "grd",
    "surface",
    "spot",
    "shot",
    "final",
    "adj",
    "adjusted",
    "corrected",
    "survey",
    "surveyed",
    "measured",
    "observed",
    "obs",
    "as",
    "built",
    "asbuilt",
    "existing",
    "exist",
    "natural",
    "reduced",
    "orthometric",
    "ortho",
    "the",
    "of",
    "in",
    "at",
    "decimal",
    "dec",
    "gps",
    "gnss",
    "rtk",
    "site",
    "project",
    "map",
    "true",
    "along",
    "field",
    "all",
    "units",
    "unit",
    "us",
];

/// Words of datums and grids; numbers behind them belong to them.
const DATUM: &[&str] = &[
    "navd",
    "ngvd",
    "igld",
    "nad",
    "egm",
    "wgs",
    "etrs",
    "etrf",
    "itrf",
    "utm",
    "spc",
    "spcs",
    "state",
    "plane",
    "grid",
    "local",
    "mga",
    "gda",
    "ahd",
    "osgb",
    "osgm",
    "odn",
    "od",
    "nhn",
    "nn",
    "evrf",
    "epsg",
    "zone",
    "datum",
    "geoid",
    "vertical",
    "horizontal",
    "amsl",
    "asl",
    "msl",
    "aod",
    "system",
    "crs",
    "csrs",
    "eov",
    "mtm",
    "pulkovo",
    "nap",
    "crd",
    "lwd",
];

/// Units that no list is read in.
const FOREIGN: &[&str] =
    &["km", "yd", "yds", "yards", "yard", "dm", "mi", "miles", "links", "chains", "fathoms"];

/// Words that say a role by themselves.
fn role_of(word: &str) -> Option<Role> {
    // Cut short in many ways: northg, eastng.
    if (4..=9).contains(&word.len()) && word.ends_with('g') {
        match (word.starts_with("nor"), word.starts_with("eas")) {
            (true, _) => return Some(Role::Northing),
            (_, true) => return Some(Role::Easting),
            _ => {}
        }
    }
    Some(match word {
        "northing" | "northings" | "north" | "nrth" | "nth" | "n" | "y" => Role::Northing,
        "easting" | "eastings" | "east" | "est" | "e" | "x" => Role::Easting,
        "elevation" | "elevations" | "elev" | "elevn" | "elv" | "ele" | "el" | "z" | "height"
        | "heights" | "hgt" | "ht" | "h" | "altitude" | "alt" | "rl" | "level" | "levels"
        | "lvl" => Role::Elevation,
        "code" | "codes" | "desc" | "descr" | "description" | "descriptor" | "dsc" | "d"
        | "feature" | "feat" | "remark" | "remarks" | "comment" | "comments" | "note" | "notes" => {
            Role::Code
        }
        "point" | "points" | "pt" | "pts" | "p" | "pnt" | "no" | "nr" | "num" | "nbr"
        | "number" | "id" | "ident" | "name" | "label" => Role::Point,
        "wall" | "transect" | "section" | "profile" => Role::Wall,
        "station" | "stationing" | "sta" | "stn" | "chainage" | "ch" | "distance" | "dist"
        | "tape" | "chain" => Role::Station,
        "offset" | "offsets" | "off" | "offs" => Role::Offset,
        "rod" | "reading" | "readings" | "staff" | "intermediate" | "is" => Role::Rod,
        "backsight" | "bs" => Role::Backsight,
        "foresight" | "fs" => Role::Foresight,
        _ => return None,
    })
}

/// Words that are often written as one, and phrases that are one word.
const PHRASES: &[(&[&str], &[&str])] = &[
    (&["pointid"], &["point", "id"]),
    (&["pointno"], &["point", "no"]),
    (&["pointnum"], &["point", "no"]),
    (&["pointnumber"], &["point", "no"]),
    (&["pointname"], &["point", "name"]),
    (&["ptid"], &["pt", "id"]),
    (&["ptno"], &["pt", "no"]),
    (&["ptnum"], &["pt", "no"]),
    (&["ptname"], &["pt", "name"]),
    (&["xcoord"], &["x"]),
    (&["ycoord"], &["y"]),
    (&["zcoord"], &["z"]),
    (&["utme"], &["utm", "e"]),
    (&["utmn"], &["utm", "n"]),
    (&["masl"], &["m", "asl"]),
    (&["mamsl"], &["m", "amsl"]),
    (&["invertrod"], &["rod"]),
    (&["invert", "rod"], &["rod"]),
    (&["inverted", "rod"], &["rod"]),
    (&["intermediate", "sight"], &["is"]),
    (&["back", "sight"], &["bs"]),
    (&["fore", "sight"], &["fs"]),
    (&["r", "l"], &["rl"]),
    (&["b", "s"], &["bs"]),
    (&["f", "s"], &["fs"]),
    (&["i", "s"], &["is"]),
    (&["o", "s"], &["offset"]),
    (&["os"], &["offset"]),
    (&["h", "i"], &["instrument"]),
    (&["hi"], &["instrument"]),
    (&["a", "m", "s", "l"], &["amsl"]),
    (&["a", "s", "l"], &["asl"]),
    (&["above", "mean", "sea", "level"], &["amsl"]),
    (&["above", "sea", "level"], &["asl"]),
    (&["mean", "sea", "level"], &["msl"]),
    (&["cross", "section"], &["section"]),
    (&["x", "section"], &["section"]),
    (&["co", "ordinate"], &["coordinate"]),
    (&["along", "wall"], &["along"]),
    (&["rod", "height"], &["target"]),
    (&["rod", "ht"], &["target"]),
    (&["staff", "height"], &["target"]),
];

/// The words of a text: at signs, at changes of case, between letters and digits; in small letters.
pub(super) fn words(text: &str) -> Vec<String> {
    let letters: Vec<char> = text.chars().collect();
    let mut words: Vec<String> = vec![String::new()];
    for (at, c) in letters.iter().enumerate() {
        if *c == '#' {
            words.extend(["no".to_owned(), String::new()]);
            continue;
        }
        if !c.is_alphanumeric() {
            words.push(String::new());
            continue;
        }
        let before = at.checked_sub(1).map(|at| letters[at]).filter(|c| c.is_alphanumeric());
        let after = letters.get(at + 1);
        let breaks = before.is_some_and(|before| {
            before.is_numeric() != c.is_numeric()
                || before.is_lowercase() && c.is_uppercase()
                || before.is_uppercase()
                    && c.is_uppercase()
                    && after.is_some_and(|after| after.is_lowercase())
        });
        if breaks {
            words.push(String::new());
        }
        if let Some(last) = words.last_mut() {
            last.extend(c.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Words with phrases put in place of what means the same, and units that hang on a word taken off it.
fn plain_words(text: &str) -> Vec<String> {
    let mut left = words(text);
    let mut found = Vec::new();
    while !left.is_empty() {
        let phrase = PHRASES
            .iter()
            .filter(|(said, _)| {
                left.len() >= said.len() && left.iter().zip(*said).all(|(a, b)| a == b)
            })
            .max_by_key(|(said, _)| said.len());
        if let Some((said, meant)) = phrase {
            left.drain(..said.len());
            found.extend(meant.iter().map(|word| (*word).to_owned()));
            continue;
        }
        let word = left.remove(0);
        let hangs = ["ft", "feet", "mm", "cm", "m"].into_iter().find_map(|unit| {
            let stem = word.strip_suffix(unit).filter(|stem| stem.len() >= 3)?;
            role_of(stem).filter(|role| role.is_number())?;
            Some((stem.to_owned(), unit.to_owned()))
        });
        let glued = NEUTRAL.iter().find_map(|before| {
            let rest = word.strip_prefix(before).filter(|rest| rest.len() >= 4)?;
            role_of(rest).map(|_| rest.to_owned())
        });
        match (hangs, glued) {
            _ if role_of(&word).is_some() => found.push(word),
            (Some((stem, unit)), _) => found.extend([stem, unit]),
            (None, Some(rest)) => found.push(rest),
            (None, None) => found.push(word),
        }
    }
    found
}

/// Reads a heading.
pub(super) fn read(text: &str) -> Said {
    let words = plain_words(text);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let mut units: Vec<LengthUnit> = Vec::new();
    if text.contains("(')") || text.contains("[']") {
        units.push(LengthUnit::Foot);
    }
    let (mut roles, mut strange) = (Vec::new(), 0);
    let (mut at, mut datum, mut grid) = (0, false, false);
    while at < words.len() {
        let word = words[at];
        let number = word.bytes().all(|b| b.is_ascii_digit());
        // "in" before a unit is no inch.
        let preposition = word == "in" && LengthUnit::starting(&words[at + 1..]).is_some();
        let unit = LengthUnit::starting(&words[at..]).filter(|_| !preposition);
        let zone =
            grid && matches!(word, "n" | "s" | "t" | "u") && at > 0 && is_number(words[at - 1]);
        // "Distance 2": the second of several.
        let counted = number
            && at + 1 == words.len()
            && roles.last().is_some_and(|(role, _)| *role == Role::Station);
        match unit {
            _ if datum && number || zone || counted => {}
            Some((unit, used)) => {
                units.push(unit);
                at += used;
                continue;
            }
            None if DATUM.contains(&word) => {
                datum = true;
                grid |= matches!(word, "utm" | "zone" | "mga");
            }
            None if NEUTRAL.contains(&word) || FOREIGN.contains(&word) => {}
            None => match role_of(word) {
                Some(role) => roles.push((role, word)),
                None => strange += 1,
            },
        }
        at += 1;
    }
    units.dedup();
    // Two units in one heading: neither is sure.
    strange += units.len().saturating_sub(1);
    let rank = words.len() + 10 * roles.len();
    let unit = units.first().copied().filter(|_| units.len() == 1);
    let role = one_role(&roles).map(|(role, sure)| (role, sure && strange == 0));
    let foreign = words.len() > 1 && words.iter().any(|word| FOREIGN.contains(word));
    let side = words.iter().any(|word| matches!(*word, "side" | "left" | "right" | "lt" | "rt"))
        || words == ["l", "r"];
    let shot = words.contains(&"shot") && roles.is_empty() && strange == 0;
    let role = if shot { Some((Role::Point, true)) } else { role };
    Said { role, unit, rank: rank_of(role, &words).unwrap_or(rank), foreign, side }
}

fn is_number(word: &str) -> bool {
    word.bytes().all(|b| b.is_ascii_digit())
}

/// Of several columns of points or of codes, the one that is called so before any other.
fn rank_of(role: Option<(Role, bool)>, words: &[&str]) -> Option<usize> {
    let order: &[&str] = match role?.0 {
        Role::Point => {
            &["point", "pt", "pnt", "p", "shot", "no", "nr", "number", "num", "id", "name"]
        }
        Role::Code => &["code", "codes", "desc", "description", "descr", "d", "feature"],
        _ => return None,
    };
    Some(order.iter().position(|word| words.contains(word)).unwrap_or(order.len()))
}

/// The one role that the words of a heading speak for. Point, station and wall give way to what is told of them.
fn one_role(roles: &[(Role, &str)]) -> Option<(Role, bool)> {
    let mut kinds: Vec<Role> = roles.iter().map(|(role, _)| *role).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let letter = |word: &str| matches!(word, "x" | "y");
    match kinds[..] {
        [] => None,
        [one] => Some((one, true)),
        // "X (Northing)": the word counts, the letter only where it stands alone.
        [Role::Northing, Role::Easting] => {
            let spoken: Vec<Role> =
                roles.iter().filter(|(_, word)| !letter(word)).map(|(role, _)| *role).collect();
            match spoken[..] {
                [one] => Some((one, true)),
                _ => None,
            }
        }
        [Role::Point, Role::Station] => Some((Role::Station, false)),
        [Role::Point, other] => Some((other, true)),
        [Role::Elevation, Role::Station] => Some((Role::Elevation, true)),
        [Role::Wall, Role::Station] => Some((Role::Station, true)),
        [first, ..] => Some((first, false)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use LengthUnit::{Centimetre, Foot, Metre, Millimetre, SurveyFoot};
    use Role::{Code, Easting, Elevation, Northing, Offset, Point, Rod, Station, Wall};

    #[test]
    fn headings_as_lists_have_them() {
        for (text, role, unit) in [
            ("ELV", Elevation, None),
            ("elev_m", Elevation, Some(Metre)),
            ("Z_NAVD88", Elevation, None),
            ("North_ft", Northing, Some(Foot)),
            ("FinalElevation_m", Elevation, Some(Metre)),
            ("Elevation - Meters AMSL", Elevation, Some(Metre)),
            ("Elevation - Meters", Elevation, Some(Metre)),
            ("Elev. [mm]", Elevation, Some(Millimetre)),
            ("Elevation (cm)", Elevation, Some(Centimetre)),
            ("Z (US survey feet)", Elevation, Some(SurveyFoot)),
            ("Northing, usft", Northing, Some(SurveyFoot)),
            ("POINT_X", Easting, None),
            ("UTM 18N Easting", Easting, None),
            ("Northing (Y)", Northing, None),
            ("X (Northing)", Northing, None),
            ("Height m a.s.l.", Elevation, Some(Metre)),
            ("Elevation in feet", Elevation, Some(Foot)),
            ("R.L.", Elevation, None),
            ("Ground level (m AHD)", Elevation, Some(Metre)),
            ("Orthometric Height", Elevation, None),
            ("PtNo", Point, None),
            ("Pt #", Point, None),
            ("Shot No.", Point, None),
            ("Point Description", Code, None),
            ("Wall ID", Wall, None),
            ("Cross-section", Wall, None),
            ("Distance along wall (ft)", Station, Some(Foot)),
            ("o/s", Offset, None),
            ("InvertRod", Rod, None),
            ("elevft", Elevation, Some(Foot)),
        ] {
            let said = read(text);
            assert_eq!((said.role, said.unit), (Some((role, true)), unit), "{text}");
        }
    }

    #[test]
    fn decoys_are_never_sure() {
        for text in [
            "Elev diff",
            "North arrow",
            "Design elev",
            "Ellipsoid height",
            "Elevation (2019-08-30_1m_DEM)",
            "Rod height",
            "H.I.",
            "Elev change (ft)",
            "Elev (ft/m)",
            "Std dev Z",
            "Old elevation",
            "Station name",
            "Latitude",
            "N E",
        ] {
            assert!(read(text).role.is_none_or(|(_, sure)| !sure), "{text} {:?}", read(text));
        }
    }
}
