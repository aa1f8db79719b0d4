//! Rows of a list: each is a shot, or is not used with its one reason.

use super::columns::is_number;
use super::units::{Units, decided};
use super::{
    Asked, Columns, LengthUnit, Levels, Reason, Refused, Role, Shot, Spot, recognise, value,
};
use crate::measure::{counted, in_survey_feet_number};
use crate::problem::Problem;
use crate::survey::Point;
use crate::table::{Cell, CellKind, DecimalMark, MarkProof, Proven, Row, Table};

/// A list after reading: rows that are points, rows that are not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShotList {
    /// What was understood of the columns, list by list down the sheet; at least one.
    pub lists: Vec<Columns>,
    /// Units that the first list's numbers were read in.
    pub units: Units,
    /// Number of data rows.
    pub rows: usize,
    /// Rows that are points, in file order.
    pub shots: Vec<Shot>,
    /// Rows that are not.
    pub refused: Vec<Refused>,
    /// What was assumed of the rows.
    pub remarks: Vec<String>,
}

/// Which codes of a list serve a line, and which stand for another.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CodeUse {
    /// Codes that serve a line.
    pub used: Vec<String>,
    /// Codes of the list, each with the one that it stands for.
    pub map: Vec<(String, String)>,
}

impl CodeUse {
    /// The code that a code of the list stands for.
    fn meant<'a>(&'a self, code: &'a str) -> &'a str {
        self.map.iter().find(|(list, _)| list == code).map_or(code, |(_, meant)| meant)
    }
}

/// Reads the shots of a table. With `codes`, rows of any other code are not used before anything else.
///
/// # Errors
/// The columns cannot be recognised, the stated units differ or one is missing, or numbers have two readings.
pub fn read_shots(
    table: &Table,
    asked: &Asked,
    codes: Option<&CodeUse>,
    levels: &Levels,
) -> Result<ShotList, Problem> {
    let found = recognise(table, asked)?;
    let mark = decimal_mark(table, &found.lists, asked)?;
    let mut list = ShotList {
        units: decided(table, &found.lists[0], asked)?,
        lists: found.lists.clone(),
        rows: 0,
        shots: Vec::new(),
        refused: Vec::new(),
        remarks: Vec::new(),
    };
    if mark == DecimalMark::Comma {
        list.remarks.push("decimal commas, in the whole list".to_owned());
    }
    for columns in &found.lists {
        let units = decided(table, columns, asked)?;
        let reader = Reader {
            table,
            columns,
            units: &units,
            mark,
            codes,
            levels,
            survey_frame: asked.survey_frame,
        };
        reader.read(asked, &mut list);
    }
    for (first, end, line) in &found.others {
        for row in table.rows[*first..*end].iter().filter(|row| !row.is_blank()) {
            list.rows += 1;
            let id = row.text(0).to_owned();
            let reason = Reason::OtherList(*line);
            list.refused.push(Refused { list: 0, line: row.line, id, code: String::new(), reason });
        }
    }
    list.refused.sort_by_key(|row| row.line);
    Ok(list)
}

/// The mark before decimals: as said, or as the numbers of the columns prove it.
pub(in crate::survey) fn decimal_mark(
    table: &Table,
    lists: &[Columns],
    asked: &Asked,
) -> Result<DecimalMark, Problem> {
    if let Some(mark) = asked.decimal {
        return Ok(mark);
    }
    let mut proof = MarkProof::default();
    for columns in lists {
        let numbers: Vec<usize> = columns
            .places
            .iter()
            .filter(|(role, _)| role.is_number() && columns.kind.uses(*role))
            .map(|(_, column)| *column)
            .collect();
        for row in &table.rows[columns.first..columns.end] {
            for cell in numbers.iter().filter_map(|column| row.cell(*column)) {
                if cell.kind == CellKind::Text {
                    proof.add(&cell.text);
                }
            }
        }
    }
    match proof.proven() {
        Proven::Mark(mark) => Ok(mark),
        Proven::Open(text) => {
            let place = |row: &&Row| row.cells.iter().any(|cell| cell.text == text.as_str());
            let line = table.rows.iter().find(place).map_or(1, |row| row.line);
            let reading = |mark| crate::table::plain_number(&text, mark).unwrap_or_default();
            Err(Problem::error(format!(
                "\"{text}\" has two readings, {} and {}, and no other number of the list decides between them",
                reading(DecimalMark::Point),
                reading(DecimalMark::Comma)
            ))
            .at(table.place_of(line, None))
            .help(format!(
                "say which mark stands before decimals: {} or {}",
                asked.by.decimal("point"),
                asked.by.decimal("comma")
            )))
        }
    }
}

struct Reader<'a> {
    table: &'a Table,
    columns: &'a Columns,
    units: &'a Units,
    mark: DecimalMark,
    codes: Option<&'a CodeUse>,
    levels: &'a Levels,
    survey_frame: bool,
}

/// The wall or section that rows stand under.
#[derive(Default)]
struct Section {
    /// The name last read.
    name: Option<String>,
    /// Whether the list names any, in rows or in a column.
    any: bool,
    /// Rows that it was carried down to, and names of rows of their own.
    carried: usize,
    rows: Vec<String>,
}

impl Reader<'_> {
    fn read(&self, asked: &Asked, list: &mut ShotList) {
        let rows = &self.table.rows[self.columns.first..self.columns.end];
        let along = !self.columns.kind.in_plane();
        let wall_column = self.columns.of(Role::Wall).filter(|_| along);
        let mut section = Section {
            any: along
                && (wall_column.is_some_and(|at| rows.iter().any(|row| !row.text(at).is_empty()))
                    || rows.iter().any(|row| section_of(row, asked).is_some())),
            ..Section::default()
        };
        let mut extra = 0;
        for row in rows.iter().filter(|row| !row.is_blank()) {
            if along && let Some(name) = section_of(row, asked) {
                section.rows.push(name.clone());
                section.name = Some(name);
                continue;
            }
            let mut wall = None;
            if section.any {
                let own = wall_column.map_or("", |at| row.text(at));
                if own.is_empty() {
                    section.carried += usize::from(section.name.is_some() && wall_column.is_some());
                } else {
                    section.name = Some(own.to_owned());
                }
                wall.clone_from(&section.name);
            }
            list.rows += 1;
            extra += usize::from(self.table.sheet.is_some() && self.surplus(row) > 0);
            let text = |role| self.columns.of(role).map_or("", |column| row.text(column));
            let written = text(Role::Code);
            let code = self.codes.map_or(written, |codes| codes.meant(written)).to_owned();
            let id = text(Role::Point).to_owned();
            let read = match wall {
                None if section.any => Err(Reason::MissingValue(vec![Role::Wall])),
                wall => self.row(row, &code, wall),
            };
            match read {
                Ok((place, z)) => {
                    list.shots.push(Shot { list: 0, line: row.line, id, code, place, z });
                }
                Err(reason) => {
                    list.refused.push(Refused { list: 0, line: row.line, id, code, reason });
                }
            }
        }
        if section.carried > 0 {
            list.remarks.push(format!(
                "the wall named in a row holds for the {} rows below it that name none",
                section.carried
            ));
        }
        if !section.rows.is_empty() {
            list.remarks.push(format!("rows that name a section: {}", section.rows.join(", ")));
        }
        if extra > 0 {
            list.remarks.push(counted(
                extra,
                "row has something in a column without heading; it is not read",
                "rows have something in a column without heading; it is not read",
            ));
        }
    }

    /// Filled fields beyond the last heading.
    fn surplus(&self, row: &Row) -> usize {
        row.cells.iter().skip(self.columns.width).filter(|c| c.kind != CellKind::Empty).count()
    }

    /// In text, a row with more or fewer fields than the list has columns is sure of none of them.
    fn fields(&self, row: &Row) -> Result<(), Reason> {
        if self.table.sheet.is_some() {
            return Ok(());
        }
        let (width, found) = (self.columns.width, row.cells.len());
        let code = self.columns.of(Role::Code);
        let words = |from: usize| row.cells.iter().skip(from).all(|cell| !is_number(cell));
        if self.surplus(row) > 0 {
            // A description with commas in it, after the last number.
            let description = code.is_some_and(|at| at + 1 == width && words(at));
            if !description {
                return Err(Reason::FieldCount(found, width));
            }
        }
        let only_code = code == Some(width - 1) && found + 1 == width;
        if found < width
            && (only_code || self.table.spaced)
            && !(only_code && self.like_the_others(row))
        {
            return Err(Reason::FieldCount(found, width));
        }
        Ok(())
    }

    /// Whether a row that lacks its last field has in every other column what the full rows have there: names that are
    /// whole numbers, numbers with decimals. Else a field may be missing in front, and every number stands for another.
    fn like_the_others(&self, row: &Row) -> bool {
        let rows = &self.table.rows[self.columns.first..self.columns.end];
        let full: Vec<&Row> =
            rows.iter().filter(|other| other.cells.len() >= self.columns.width).take(200).collect();
        if full.is_empty() {
            return true;
        }
        let decimal = |cell: &Cell| is_number(cell) && cell.text.contains(['.', ',']);
        let mut told_apart = false;
        let alike = self.columns.places.iter().filter(|(role, _)| *role != Role::Code).all(
            |(role, column)| {
                let cells = || full.iter().filter_map(|row| row.cell(*column));
                let with = cells().filter(|cell| decimal(cell)).count();
                let here = row.cell(*column);
                told_apart |= *role == Role::Point && with * 10 <= full.len();
                match (with * 10 >= full.len() * 9, with * 10 <= full.len()) {
                    (true, _) => here.is_some_and(decimal),
                    (_, true) => here.is_none_or(|cell| !decimal(cell)),
                    _ => true,
                }
            },
        );
        let codes = || full.iter().filter_map(|row| row.cell(self.columns.width - 1));
        let numbered = codes().any(is_number);
        alike && told_apart && !numbered
    }

    fn row(
        &self,
        row: &Row,
        code: &str,
        wall: Option<String>,
    ) -> Result<(Spot, crate::measure::Nm), Reason> {
        let columns = self.columns;
        if let Some(word) = summary(row) {
            return Err(Reason::Summary(word));
        }
        self.fields(row)?;
        if self.codes.is_some_and(|codes| !codes.used.iter().any(|known| known == code)) {
            return Err(Reason::CodeNotUsed);
        }
        let filled = |role| {
            let cell = columns.of(role).and_then(|column| row.cell(column));
            cell.filter(|cell| cell.kind != CellKind::Empty)
        };
        let mut roles = columns.kind.needs().to_vec();
        roles.extend(
            filled(Role::Offset).filter(|_| !columns.kind.in_plane()).map(|_| Role::Offset),
        );
        // The last ground shot of a set-up stands in the foresights.
        let by_rod = columns.kind.by_rod();
        let reading = match (filled(Role::Rod), filled(Role::Foresight)) {
            (Some(_), Some(_)) if by_rod => return Err(Reason::TwoReadings),
            (None, Some(foresight)) if by_rod => Some((Role::Foresight, foresight)),
            (rod, _) => rod.map(|rod| (Role::Rod, rod)),
        };
        let cell = |role: Role| match role {
            Role::Rod => reading,
            role => filled(role).map(|cell| (role, cell)),
        };
        let cells: Vec<Option<(Role, &Cell)>> = roles.iter().map(|role| cell(*role)).collect();
        let missing: Vec<Role> = roles
            .iter()
            .zip(&cells)
            .filter(|(_, cell)| cell.is_none())
            .map(|(role, _)| *role)
            .collect();
        if !missing.is_empty() {
            return Err(Reason::MissingValue(missing));
        }
        let (mut bad, mut none) = (Vec::new(), Vec::new());
        let mut values = [crate::measure::Nm::ZERO; 3];
        for ((role, cell), number) in roles.iter().zip(&cells).zip(&mut values) {
            let Some((read_as, cell)) = cell else { continue };
            let unit = self.units.of(*read_as);
            if value::stands_for_none(cell, *role) {
                none.push((*role, cell.text.to_string()));
                continue;
            }
            let own = self.survey_frame && unit == Some(LengthUnit::SurveyFoot);
            let unit = if own { Some(LengthUnit::Foot) } else { unit };
            match value::read(cell, *role, unit, self.mark) {
                Ok(length) if self.survey_frame && !own => *number = in_survey_feet_number(length),
                Ok(length) => *number = length,
                Err(text) => bad.push((*role, text)),
            }
        }
        if !bad.is_empty() {
            return Err(Reason::BadNumber(bad));
        }
        if !none.is_empty() {
            return Err(Reason::NoValue(none));
        }
        if columns.kind.in_plane() {
            if values.iter().all(|value| value.0 == 0) {
                let zero = |role: &Role| (*role, "0".to_owned());
                return Err(Reason::NoValue(roles.iter().map(zero).collect()));
            }
            let z = self.height(row, values[2]);
            return Ok((Spot::Plane(Point { n: values[0], e: values[1] }), z));
        }
        let z = self.height(row, values[1]);
        Ok((Spot::Along { wall, station: values[0], offset: values[2] }, z))
    }

    fn height(&self, row: &Row, read: crate::measure::Nm) -> crate::measure::Nm {
        match self.columns.kind.by_rod() {
            true => self.levels.elevation(row.line, read),
            false => read,
        }
    }
}

/// The word by which a row tells that it sums up the rows above it.
fn summary(row: &Row) -> Option<String> {
    const WORDS: [&str; 22] = [
        "total",
        "totals",
        "grand total",
        "subtotal",
        "sum",
        "sums",
        "average",
        "averages",
        "avg",
        "mean",
        "median",
        "minimum",
        "min",
        "maximum",
        "max",
        "count",
        "range",
        "std dev",
        "stdev",
        "standard deviation",
        "number of points",
        "no of points",
    ];
    if row.cells.iter().any(|cell| cell.kind == CellKind::Total) {
        return Some("a formula over the rows above".to_owned());
    }
    row.cells.iter().filter(|cell| cell.kind == CellKind::Text).find_map(|cell| {
        let short = cell.text.len() < 40 && cell.text.starts_with(|c: char| c.is_alphabetic());
        if !short {
            return None;
        }
        let text = cell.text.to_lowercase();
        let text = text.trim_end_matches([':', '.', '=', ' ']);
        let whole = WORDS.contains(&text);
        let first = text.split([' ', ':']).next().unwrap_or("");
        let opens = ["average", "minimum", "maximum", "median"].contains(&first)
            || matches!(text.split_once(' '), Some(("total" | "mean" | "min" | "max" | "avg", rest))
                if super::heading::read(rest).role.is_some());
        (whole || opens).then(|| format!("\"{}\"", cell.text))
    })
}

/// The name of the wall or section that a row of one text alone gives to the rows below it.
fn section_of(row: &Row, asked: &Asked) -> Option<String> {
    let mut filled = row.cells.iter().filter(|cell| cell.kind != CellKind::Empty);
    let cell = filled.next().filter(|_| filled.next().is_none())?;
    if cell.kind != CellKind::Text {
        return None;
    }
    let name = cell.text.trim_end_matches([':', '.']).trim();
    let first = name.split([' ', '-', '_', '#']).next().unwrap_or("").to_lowercase();
    let heads = ["wall", "section", "transect", "profile", "sec", "xs"].contains(&first.as_str())
        && name.len() < 40;
    (heads || asked.walls.iter().any(|wall| wall == name)).then(|| name.to_owned())
}
