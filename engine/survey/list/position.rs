//! Lists without headings: columns by their position.

use super::columns::{is_number, words_only};
use super::heading;
use super::{Asked, Columns, ListKind, Lists, Role};
use crate::measure::counted;
use crate::problem::Problem;
use crate::table::{CellKind, Row, Table};

/// A column by its number, or by the letter that a spreadsheet gives it; counted from 0.
pub(super) fn numbered(name: &str) -> Option<usize> {
    let name = name.trim().trim_start_matches('#');
    if let Ok(number) = name.parse::<usize>() {
        return number.checked_sub(1).filter(|column| *column < 16_384);
    }
    let letters =
        name.len() <= 2 && !name.is_empty() && name.bytes().all(|b| b.is_ascii_uppercase());
    let number = name.bytes().fold(0, |sum, b| sum * 26 + usize::from(b.wrapping_sub(b'A')) + 1);
    letters.then(|| number - 1)
}

/// How many fields most rows have.
pub(super) fn usual_width(rows: &[Row]) -> usize {
    let mut counts: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
    for row in rows.iter().take(500) {
        *counts.entry(row.cells.len()).or_default() += 1;
    }
    counts.into_iter().max_by_key(|(_, count)| *count).map_or(0, |(width, _)| width)
}

/// Columns by position, where no row reads as headings.
///
/// # Errors
/// A row above the data reads as headings that are not understood; the columns cannot be told apart; a heading is named.
pub(super) fn without_headings(table: &Table, asked: &Asked) -> Result<Lists, Problem> {
    let by_number: Option<Vec<(Role, usize)>> =
        asked.columns.iter().map(|(role, name)| Some((*role, numbered(name)?))).collect();
    let Some(by_number) = by_number else {
        let (role, name) = &asked.columns[0];
        return Err(Problem::error(format!(
            "no row has the heading \"{name}\" that is named for the {}",
            role.name()
        ))
        .at(table.place())
        .help("name columns by their heading, or by their number where there are no headings"));
    };
    let numbers = |row: &Row| row.cells.iter().filter(|cell| is_number(cell)).count();
    let first = table.rows.iter().position(|row| numbers(row) >= 2).unwrap_or(table.rows.len());
    if by_number.is_empty() {
        lies_on_its_side(table)?;
        let heads = |row: &&Row| {
            words_only(row) && row.cells.iter().filter(|c| c.kind == CellKind::Text).count() >= 3
        };
        if let Some(row) = table.rows[..first].iter().rev().find(heads) {
            return Err(not_understood(table, row, asked));
        }
    }
    let places = if by_number.is_empty() {
        usual_order(table, &table.rows[first..], asked)?
    } else {
        by_number
    };
    let kind = ListKind::of(&places, asked.column(Role::Elevation).is_some());
    let lacking = kind.lacking(&places);
    if !lacking.is_empty() {
        let names: Vec<&str> = lacking.iter().map(|role| role.name()).collect();
        return Err(Problem::error(format!("no column is named for the {}", names.join(", the ")))
            .at(table.place())
            .help(format!(
                "name them all, such as {}",
                asked.by.order(&order_of(&places, &lacking))
            )));
    }
    let needed: Vec<usize> = places
        .iter()
        .filter(|(role, _)| kind.needs().contains(role))
        .map(|(_, column)| *column)
        .collect();
    let starts = |row: &Row| needed.iter().any(|column| row.cell(*column).is_some_and(is_number));
    let first = table.rows.iter().position(starts).unwrap_or(0);
    let assumed: Vec<String> =
        places.iter().map(|(role, column)| format!("{} {}", column + 1, role.name())).collect();
    let mut remarks = Vec::new();
    if asked.columns.is_empty() {
        let other: Vec<Role> = places
            .iter()
            .map(|(role, _)| match role {
                Role::Northing => Role::Easting,
                Role::Easting => Role::Northing,
                other => *other,
            })
            .collect();
        remarks.push(format!(
            "no headings: columns taken by their position, {}; for the other order {}",
            assumed.join(", "),
            asked.by.order(&other)
        ));
    } else {
        remarks.push(format!("columns as named: {}", assumed.join(", ")));
    }
    if first > 0 {
        remarks.push(counted(
            first,
            "row above the numbers was read as a title",
            "rows above the numbers were read as titles",
        ));
    }
    let rows = &table.rows[first..];
    let named = places.iter().map(|(_, column)| column + 1).max().unwrap_or(0);
    let code_last = places.iter().any(|(role, column)| *role == Role::Code && column + 1 == named);
    let width = if code_last { named } else { usual_width(rows).max(named) };
    let end = table.rows.len();
    let list =
        Columns { kind, places, first, end, header_line: None, units: Vec::new(), width, remarks };
    Ok(Lists { lists: vec![list], others: Vec::new() })
}

/// Headings down the first column, with a point in each column beside them.
fn lies_on_its_side(table: &Table) -> Result<(), Problem> {
    let heads = |row: &&Row| {
        let role = row.cells.first().and_then(|cell| heading::read(&cell.text).role);
        role.is_some_and(|(role, sure)| sure && role.is_number())
            && row.cells.iter().skip(1).filter(|cell| is_number(cell)).count() >= 2
    };
    let found: Vec<&Row> = table.rows.iter().take(40).filter(heads).collect();
    if found.len() < 2 || table.rows.len() > 40 {
        return Ok(());
    }
    Err(Problem::error("this list lies on its side: its headings stand in the first column")
        .at(table.place_of(found[0].line, Some(0)))
        .help("turn it, so that each point has a row of its own"))
}

fn order_of(places: &[(Role, usize)], lacking: &[Role]) -> Vec<Role> {
    let mut order: Vec<(usize, Role)> =
        places.iter().map(|(role, column)| (*column, *role)).collect();
    order.sort_unstable();
    order.into_iter().map(|(_, role)| role).chain(lacking.iter().copied()).collect()
}

/// A row of words over rows of numbers is headings that were not understood, never a row of data.
fn not_understood(table: &Table, row: &Row, asked: &Asked) -> Problem {
    let words: Vec<&str> =
        row.cells.iter().map(|cell| cell.text.as_str()).filter(|text| !text.is_empty()).collect();
    let said = |role: Role| {
        row.cells.iter().find(|cell| heading::read(&cell.text).role.is_some_and(|(r, _)| r == role))
    };
    let stations = said(Role::Station).is_some() && said(Role::Northing).is_none();
    let roles: &[Role] = if stations {
        &[Role::Station, Role::Elevation]
    } else {
        &[Role::Northing, Role::Easting, Role::Elevation]
    };
    let unknown = row
        .cells
        .iter()
        .find(|cell| cell.kind == CellKind::Text && heading::read(&cell.text).role.is_none());
    let named = |role: Role| {
        let cell = said(role).or(unknown.filter(|_| stations));
        cell.map_or_else(|| "HEADING".to_owned(), |cell| cell.text.to_string())
    };
    let say: Vec<(Role, String)> = roles.iter().map(|role| (*role, named(*role))).collect();
    Problem::error("the headings of this list are not recognised")
        .at(table.place_of(row.line, None))
        .detail(format!("headings read: {}", words.join(", ")))
        .detail("a list needs northing, easting and elevation, or station and elevation; rod readings may stand for elevations")
        .help(format!("name the columns, such as {}", asked.by.columns(&say)))
}

/// The usual order, where the columns leave no doubt of it.
fn usual_order(table: &Table, rows: &[Row], asked: &Asked) -> Result<Vec<(Role, usize)>, Problem> {
    use Role::{Code, Easting, Elevation, Northing, Point};
    let usual = usual_width(rows);
    let rows: Vec<&Row> = rows
        .iter()
        .filter(|row| row.cells.len() >= 3 && row.cells.len() == usual)
        .take(500)
        .collect();
    let cells = |column: usize| rows.iter().filter_map(move |row| row.cell(column));
    let numeric = |column: usize| {
        !rows.is_empty() && cells(column).filter(|cell| is_number(cell)).count() * 2 > rows.len()
    };
    // Nine in ten decide; less is a doubt.
    let whole = |column: usize| {
        let numbers = cells(column).filter(|cell| is_number(cell)).count();
        let whole = cells(column).filter(|c| is_number(c) && !c.text.contains(['.', ','])).count();
        match (whole * 10 >= numbers * 9, whole * 10 <= numbers) {
            (true, _) => Some(true),
            (_, true) => Some(false),
            _ => None,
        }
    };
    let named_order: &[Role] = &[Point, Northing, Easting, Elevation, Code];
    let bare_order: &[Role] = &[Northing, Easting, Elevation, Code];
    let width = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    let four = width >= 4 && (1..4).all(numeric);
    let three = width >= 3 && (0..3).all(numeric);
    let order = match (four, three) {
        // Whole numbers name the points; numbers with decimals first are coordinates already.
        (true, true) if whole(0) == Some(true) && whole(3) == Some(false) => named_order,
        (true, true) if whole(0) == Some(false) => bare_order,
        (true, false) => named_order,
        (false, true) => bare_order,
        _ => {
            let examples = [&named_order[..4], &[Role::Station, Role::Elevation]];
            let say: Vec<String> = examples.iter().map(|order| asked.by.order(order)).collect();
            return Err(Problem::error(
                "no headings were found, and the columns cannot be told apart without them",
            )
            .at(table.place())
            .help(format!(
                "add a row of headings, or say the order of the columns, such as {}",
                say.join(" or ")
            )));
        }
    };
    let places = order.iter().copied().enumerate().filter(|(column, _)| *column < width);
    Ok(places.map(|(column, role)| (role, column)).collect())
}
