//! How the shot list is read and screened.

use super::super::alignment;
use super::super::settings::View;
use crate::measure::Nm;
use crate::problem::Problem;
use crate::survey::{Asked, AskedBy, CodeUse, GroundKind, LengthUnit, Levels, Role, Screening};
use crate::table::DecimalMark;

/// How the shot list is read and screened.
#[derive(Debug)]
pub(in crate::job) struct ShotSettings {
    /// The files, in the order of the job.
    pub(in crate::job) files: Vec<String>,
    /// Sheets of the workbooks among them; none where each has only one that could be a list.
    pub(in crate::job) sheets: Vec<String>,
    /// What the job says of the lists.
    pub(in crate::job) asked: Asked,
    /// Which codes are used, and which stand for others.
    pub(in crate::job) codes: CodeUse,
    pub(in crate::job) levels: Levels,
    /// Whether the job says which sign its rod readings have.
    pub(in crate::job) sign_stated: bool,
    /// Most that a level note may come out from a known height.
    pub(in crate::job) misclosure: Nm,
    /// Codes that are no ground in a list of rod readings.
    pub(in crate::job) turning_codes: Vec<String>,
    pub(in crate::job) screening: Screening,
}

/// The set-ups of a list of rod readings.
fn levels(shots: View) -> Result<Levels, Problem> {
    let mut setups: Vec<(usize, Nm)> = Vec::new();
    for view in shots.list("setup") {
        let parts = (
            view.maybe_length("instrument_height"),
            view.maybe_length("elevation"),
            view.maybe_length("backsight"),
        );
        let sight = match parts {
            (Some(sight), None, None) => sight,
            (None, Some(elevation), Some(backsight)) => elevation + backsight,
            _ => {
                return Err(view.place(
                    "from_line",
                    Problem::error(
                        "a set-up needs its instrument_height, or elevation and backsight",
                    )
                    .help("give the one or the two, not all three"),
                ));
            }
        };
        let from = usize::try_from(view.count("from_line")?).unwrap_or(1);
        if setups.last().is_some_and(|(last, _)| *last >= from) {
            return Err(
                view.place("from_line", Problem::error("set-ups follow each other down the list"))
            );
        }
        setups.push((from, sight));
    }
    Ok(Levels { setups, signed: shots.maybe_text("rod_sign") == Some("height") })
}

/// What the job says of its lists where they do not say it themselves.
fn asked(root: View, shots: View) -> Result<Asked, Problem> {
    let columns = shots.table("columns").map_or_else(Vec::new, |table| {
        let named = |role: &Role| Some((*role, table.maybe_text(role.name())?.to_owned()));
        Role::ALL.iter().filter_map(named).collect()
    });
    let units = shots.table("units").map_or_else(Vec::new, |table| {
        let named = |role: &Role| Some((*role, LengthUnit::parse(table.maybe_text(role.name())?)?));
        Role::ALL.iter().filter_map(named).collect()
    });
    let unit = shots.maybe_text("length_unit").and_then(LengthUnit::parse).map(|unit| {
        let place = shots.place("length_unit", Problem::note("")).place;
        let place = place.map_or_else(|| "job.toml".to_owned(), |place| place.to_string());
        (unit, format!("shots.length_unit in {place}"))
    });
    Ok(Asked {
        columns,
        heading_row: match shots.count("heading_row") {
            Ok(row) => Some(usize::try_from(row).unwrap_or(1)),
            Err(_) => None,
        },
        decimal: shots.maybe_text("decimal").and_then(DecimalMark::parse),
        as_written: false,
        survey_frame: root
            .table("alignment")
            .is_some_and(|table| table.maybe_text("feet") == Some("us_survey_ft")),
        unit,
        units,
        walls: alignment::names(root).ids(),
        by: AskedBy::Settings,
    })
}

/// How the shot list is read, if the job has one.
pub(in crate::job) fn shot_settings(root: View) -> Result<Option<ShotSettings>, Problem> {
    let shots = root.need_table("shots")?;
    let files = shots.texts("file").to_vec();
    if files.is_empty() {
        return Ok(None);
    }
    let mut codes = Vec::new();
    if let Some(table) = shots.table("codes") {
        for kind in GroundKind::ALL {
            codes.extend(table.texts(kind.key()).iter().map(|code| (kind, code.clone())));
        }
    }
    if let Some(name) = shots.maybe_text("uncoded") {
        codes.extend(
            GroundKind::ALL
                .iter()
                .find(|kind| kind.key() == name)
                .map(|kind| (*kind, String::new())),
        );
    }
    for (index, (kind, code)) in codes.iter().enumerate() {
        if let Some((other, _)) = codes[..index].iter().find(|(_, known)| known == code) {
            let problem = Problem::error(format!(
                "code {code} is given to {} and to {}",
                other.key(),
                kind.key()
            ));
            return Err(shots.place("codes", problem));
        }
    }
    let mut map: Vec<(String, String)> = Vec::new();
    for pair in shots.texts("code_map") {
        let Some((list, meant)) = pair.split_once('=') else {
            let problem = Problem::error(format!("\"{pair}\" maps no code"))
                .help("write each as \"GS = EG\": the code of the list, and the one it stands for");
            return Err(shots.place("code_map", problem));
        };
        let (list, meant) = (list.trim().to_owned(), meant.trim().to_owned());
        if let Some((_, other)) = map.iter().find(|(known, _)| *known == list) {
            let problem = Problem::error(format!("code {list} stands for {other} and for {meant}"))
                .help("a code of the list stands for one other");
            return Err(shots.place("code_map", problem));
        }
        map.push((list, meant));
    }
    Ok(Some(ShotSettings {
        files,
        sheets: shots.texts("sheet").to_vec(),
        asked: asked(root, shots)?,
        codes: CodeUse { used: codes.iter().map(|(_, code)| code.clone()).collect(), map },
        levels: levels(shots)?,
        sign_stated: shots.maybe_text("rod_sign").is_some(),
        misclosure: shots.length("misclosure")?,
        turning_codes: shots.texts("turning_codes").to_vec(),
        screening: Screening {
            codes,
            reach: shots.length("reach")?,
            outlier_codes: shots.texts("outlier_codes").to_vec(),
            outlier_limit: shots.length("outlier_limit")?,
            outlier_neighbours: usize::try_from(shots.count("outlier_neighbours")?).unwrap_or(1),
            duplicate_xy: shots.length("duplicate_xy")?,
            duplicate_z: shots.length("duplicate_z")?,
        },
    }))
}
