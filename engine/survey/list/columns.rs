//! Which columns and rows of a table are a shot list: its headings, its units, further lists below the first.

use super::heading::{self, Said};
use super::{Asked, LengthUnit, ListKind, Role, position, units};
use crate::measure::counted;
use crate::problem::{Problem, closest};
use crate::table::{Cell, CellKind, Row, Table, numberlike};

/// What was understood of one list's columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// What kind of list it is.
    pub kind: ListKind,
    /// Column of each role that was found, counted from 0.
    pub places: Vec<(Role, usize)>,
    /// Index into the table's rows of the first row of data.
    pub first: usize,
    /// Index of the first row after its data.
    pub end: usize,
    /// Line of the header, if there is one.
    pub header_line: Option<usize>,
    /// Units that the list states for its columns: in headings, in a row of units, in a title.
    pub units: Vec<(Role, LengthUnit)>,
    /// Number of columns that a row may fill.
    pub width: usize,
    /// What was assumed, for the report.
    pub remarks: Vec<String>,
}

impl Columns {
    /// The roles that a column was found for and that a list of this kind has no use for.
    pub fn idle(&self) -> Vec<Role> {
        self.places.iter().map(|(role, _)| *role).filter(|role| !self.kind.uses(*role)).collect()
    }

    /// The column of a role.
    pub fn of(&self, role: Role) -> Option<usize> {
        self.places.iter().find(|(known, _)| *known == role).map(|(_, column)| *column)
    }
}

/// The lists of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lists {
    /// Each with its own columns, in file order; at least one.
    pub lists: Vec<Columns>,
    /// Rows under headings that make no list, or above all headings: first, end, and the line that they belong to.
    pub others: Vec<(usize, usize, usize)>,
}

/// A row of headings, or two rows read as one.
struct Header {
    row: Row,
    /// Index of its first row.
    at: usize,
    /// Index of the first row after it.
    first: usize,
    rows: usize,
    said: Vec<Said>,
    places: Vec<(Role, usize)>,
    /// Roles that two columns or more fit.
    doubtful: Vec<(Role, Vec<usize>)>,
    /// Whether the user names the column of elevations: then no rod reading counts.
    heights_named: bool,
}

/// Finds out where the lists of a table are and which column holds what.
///
/// # Errors
/// A needed column is missing or doubtful; the message lists the headings that were seen and says what to type.
pub fn recognise(table: &Table, asked: &Asked) -> Result<Lists, Problem> {
    let headers = headers(table, asked)?;
    let sound = |header: &Header| lacking(header).is_empty() && doubts(header).is_empty();
    if !headers.iter().any(sound) {
        if !asked.columns.is_empty()
            && asked.columns.iter().all(|(_, name)| position::numbered(name).is_some())
        {
            return position::without_headings(table, asked);
        }
        return match headers.iter().max_by_key(|header| header.places.len() + header.doubtful.len())
        {
            Some(best) => Err(incomplete(table, best, asked)),
            None => position::without_headings(table, asked),
        };
    }
    let mut found = Lists { lists: Vec::new(), others: Vec::new() };
    let starts: Vec<usize> = headers.iter().map(|header| header.at).collect();
    let only = asked.heading_row.is_some();
    let top = starts.first().copied().unwrap_or(0);
    for (index, row) in table.rows[..top].iter().enumerate() {
        let numbers = row.cells.iter().filter(|cell| is_number(cell)).count();
        if numbers >= 3 && !only {
            found.others.push((index, index + 1, row.line));
        }
    }
    for (index, header) in headers.iter().enumerate() {
        let end = starts.get(index + 1).copied().unwrap_or(table.rows.len());
        if sound(header) {
            let mut columns = with_header(table, header, end, asked)?;
            if index > 0 {
                let line = header.row.line;
                columns.remarks.push(format!(
                    "row {line} heads a list of its own; {}",
                    asked.by.heading_row(line) + " reads it alone"
                ));
            }
            found.lists.push(columns);
        } else {
            found.others.push((header.first, end, header.row.line));
        }
        if only {
            break;
        }
    }
    if let [first, rest @ ..] = &found.lists[..]
        && let Some(other) = rest.iter().find(|other| other.kind != first.kind)
    {
        let line = |list: &Columns| list.header_line.unwrap_or(1);
        return Err(Problem::error("this sheet holds lists of different kinds below each other")
            .at(table.place_of(line(other), None))
            .detail(format!("headings in row {} and in row {}", line(first), line(other)))
            .help(format!(
                "say which one: {} or {}",
                asked.by.heading_row(line(first)),
                asked.by.heading_row(line(other))
            )));
    }
    Ok(found)
}

/// Whether a cell holds a number, whatever its marks mean.
pub(super) fn is_number(cell: &Cell) -> bool {
    match cell.kind {
        CellKind::Number | CellKind::Total => true,
        CellKind::Text => numberlike(&cell.text),
        _ => false,
    }
}

/// A row that may hold headings: two words or more, and no number among its first cells.
fn wordy(row: &Row) -> bool {
    let mut filled = row.cells.iter().filter(|cell| cell.kind != CellKind::Empty);
    let start_is_wordy = filled.by_ref().take(3).all(|cell| !is_number(cell));
    start_is_wordy && row.cells.iter().filter(|cell| cell.kind == CellKind::Text).count() >= 2
}

/// A row with words only.
pub(super) fn words_only(row: &Row) -> bool {
    row.cells.iter().all(|cell| !is_number(cell))
}

/// All rows of headings, in file order.
fn headers(table: &Table, asked: &Asked) -> Result<Vec<Header>, Problem> {
    let mut found = Vec::new();
    let mut index = 0;
    if let Some(line) = asked.heading_row {
        let at = table.rows.iter().position(|row| row.line == line);
        let Some(at) = at else {
            let last = table.rows.last().map_or(0, |row| row.line);
            return Err(Problem::error(format!("row {line}, named for the headings, is empty"))
                .at(table.place())
                .help(format!("the rows go to {last}")));
        };
        let header = header(table, at, 1, table.rows[at].clone(), asked);
        index = header.first;
        found.push(header);
    }
    while index < table.rows.len() {
        let row = &table.rows[index];
        if !wordy(row) {
            index += 1;
            continue;
        }
        let one = header(table, index, 1, row.clone(), asked);
        let next = table.rows.get(index + 1).filter(|next| words_only(row) && words_only(next));
        let two = next.map(|next| {
            let lower = header(table, index + 1, 1, next.clone(), asked);
            (header(table, index, 2, over(row, next), asked), lower)
        });
        // Two rows are read as one only where both say something that the other alone does not.
        let chosen = match two {
            Some((two, lower)) if two.places.len() > one.places.len().max(lower.places.len()) => {
                two
            }
            _ => one,
        };
        if heads_a_list(table, &chosen) {
            index = chosen.first;
            found.push(chosen);
        } else {
            index += 1;
        }
    }
    Ok(found)
}

/// Whether headings speak of places or heights, with numbers below them.
fn heads_a_list(table: &Table, header: &Header) -> bool {
    let speaks = |role: Role| role.is_number();
    let sure = header.places.len() + header.doubtful.len();
    let numbers = header.places.iter().any(|(role, _)| speaks(*role))
        || header.doubtful.iter().any(|(role, _)| speaks(*role));
    let near = header
        .said
        .iter()
        .filter(|said| said.role.is_some_and(|(role, sure)| !sure && speaks(role)));
    if !(numbers && sure + near.count() >= 2) {
        return false;
    }
    let columns: Vec<usize> = (0..header.said.len())
        .filter(|column| header.said[*column].role.is_some_and(|(role, _)| speaks(role)))
        .chain(header.places.iter().map(|(_, column)| *column))
        .collect();
    let below = table.rows[header.first.min(table.rows.len())..].iter().take(6);
    let mut below = below.filter(|row| !row.is_blank()).peekable();
    below.peek().is_none()
        || below.any(|row| {
            let numbers = columns.iter().filter_map(|column| row.cell(*column));
            numbers.filter(|cell| is_number(cell)).count() >= 1
        })
}

/// Two rows of headings as one: the lower where it says something, else the upper.
fn over(upper: &Row, lower: &Row) -> Row {
    let cell = |column: usize| {
        let said = |row: &Row| row.cell(column).filter(|cell| !cell.text.is_empty()).cloned();
        // A unit under a heading belongs to it.
        let only_unit = said(lower).is_some_and(|cell| {
            let said = heading::read(&cell.text);
            said.role.is_none() && said.unit.is_some()
        });
        match (said(upper), said(lower)) {
            (Some(upper), Some(lower)) if only_unit => {
                Cell::text(&format!("{} {}", upper.text, lower.text))
            }
            (upper, lower) => lower.or(upper).unwrap_or_else(Cell::empty),
        }
    };
    let width = upper.cells.len().max(lower.cells.len());
    Row { line: lower.line, cells: (0..width).map(cell).collect() }
}

/// Headings between spaces, where one heading may be several words: joined until each is one heading.
fn joined(row: &Row) -> Row {
    let mut cells: Vec<Cell> = Vec::new();
    for cell in &row.cells {
        let said = heading::read(&cell.text);
        let joins = cells.last().is_some_and(|last| {
            let before = heading::read(&last.text).role;
            let together = heading::read(&format!("{} {}", last.text, cell.text)).role;
            let only_unit = said.role.is_none() && said.unit.is_some();
            let same = said.role.map(|(role, _)| role) == before.map(|(role, _)| role);
            before.is_some() && together.is_some_and(|(_, sure)| sure) && (only_unit || same)
        });
        match cells.last_mut() {
            Some(last) if joins => *last = Cell::text(&format!("{} {}", last.text, cell.text)),
            _ => cells.push(cell.clone()),
        }
    }
    Row { line: row.line, cells }
}

fn header(table: &Table, at: usize, rows: usize, row: Row, asked: &Asked) -> Header {
    let row = if table.spaced { joined(&row) } else { row };
    let said: Vec<Said> = row.cells.iter().map(|cell| heading::read(&cell.text)).collect();
    let mut header = Header {
        first: at + rows,
        at,
        rows,
        said,
        row,
        places: Vec::new(),
        doubtful: Vec::new(),
        heights_named: asked.column(Role::Elevation).is_some(),
    };
    for role in Role::ALL {
        let fits = match asked.column(role) {
            Some(name) => named(&header, name, asked).into_iter().collect(),
            None => fitting(table, &header, role, asked),
        };
        match fits[..] {
            [] => {}
            [one] => header.places.push((role, one)),
            [first, ..] if matches!(role, Role::Point | Role::Code) => {
                let best = fits.iter().copied().min_by_key(|column| header.said[*column].rank);
                header.places.push((role, best.unwrap_or(first)));
            }
            _ => header.doubtful.push((role, fits)),
        }
    }
    header
}

/// The column that is named by its heading, or else by its number or letter in a row that speaks of a list by itself.
fn named(header: &Header, name: &str, asked: &Asked) -> Option<usize> {
    let row = &header.row;
    let texts = || row.cells.iter().map(|cell| cell.text.as_str());
    let speaks = || {
        asked.heading_row.is_some()
            || header.said.iter().any(|said| said.role.is_some_and(|(_, sure)| sure))
    };
    texts()
        .position(|text| text == name)
        .or_else(|| texts().position(|text| text.eq_ignore_ascii_case(name)))
        .or_else(|| texts().position(|text| heading::words(text) == heading::words(name)))
        .or_else(|| position::numbered(name).filter(|column| *column < row.cells.len() && speaks()))
}

/// Columns whose headings are sure of a role; hidden ones and those that are named for another role are left out.
fn fitting(table: &Table, header: &Header, role: Role, asked: &Asked) -> Vec<usize> {
    let taken = |column: usize| {
        asked.columns.iter().any(|(_, name)| named(header, name, asked) == Some(column))
    };
    (0..header.said.len())
        .filter(|column| header.said[*column].role == Some((role, true)))
        .filter(|column| !table.hidden.contains(column) && !taken(*column))
        .collect()
}

fn kind(header: &Header) -> ListKind {
    let doubtful = header.doubtful.iter().map(|(role, columns)| (*role, columns[0]));
    let sure: Vec<(Role, usize)> = header.places.iter().copied().chain(doubtful).collect();
    let kind = ListKind::of(&sure, header.heights_named);
    if kind.lacking(&sure).is_empty() {
        return kind;
    }
    // Where none is complete, what only looks like a role tells which list is meant.
    let near = header.said.iter().enumerate();
    let near = near.filter_map(|(column, said)| said.role.map(|(role, _)| (role, column)));
    ListKind::of(&sure.iter().copied().chain(near).collect::<Vec<_>>(), header.heights_named)
}

/// Needed roles without any column.
fn lacking(header: &Header) -> Vec<Role> {
    let doubtful = |role: &Role| header.doubtful.iter().any(|(known, _)| known == role);
    kind(header).lacking(&header.places).into_iter().filter(|role| !doubtful(role)).collect()
}

/// Roles that the list uses and that several columns fit.
fn doubts(header: &Header) -> Vec<&(Role, Vec<usize>)> {
    let kind = kind(header);
    header.doubtful.iter().filter(|(role, _)| kind.uses(*role)).collect()
}

/// What is missing or doubtful in headings, and what to type.
fn incomplete(table: &Table, header: &Header, asked: &Asked) -> Problem {
    let row = &header.row;
    let seen: Vec<&str> =
        row.cells.iter().map(|cell| cell.text.as_str()).filter(|text| !text.is_empty()).collect();
    let latitude = row
        .cells
        .iter()
        .any(|cell| heading::words(&cell.text).first().is_some_and(|word| word.starts_with("lat")));
    let lacking = lacking(header);
    let plane = header.places.iter().any(|(role, _)| *role == Role::Northing);
    if latitude && !plane && !lacking.is_empty() {
        return Problem::error("latitude and longitude are no grid coordinates")
            .at(table.place_of(row.line, None))
            .detail(format!("headings read: {}", seen.join(", ")))
            .help("export the points again as northing and easting in a grid of feet or metres");
    }
    let mut messages = Vec::new();
    let mut place = None;
    let mut say: Vec<(Role, String)> = Vec::new();
    for (role, name) in &asked.columns {
        if named(header, name, asked).is_none() {
            let near = closest(name, seen.iter().copied());
            say.push((*role, near.unwrap_or("HEADING").to_owned()));
            let near = near.map_or(String::new(), |near| format!("; did you mean \"{near}\"?"));
            messages.push(format!(
                "no column is headed \"{name}\", which is named for the {}{near}",
                role.name()
            ));
        } else {
            say.push((*role, name.clone()));
        }
    }
    let text = |column: usize| row.text(column).to_owned();
    for (role, columns) in doubts(header) {
        let names: Vec<String> =
            columns.iter().map(|column| format!("\"{}\"", row.text(*column))).collect();
        messages.push(format!(
            "{} columns could be the {}: {}",
            count(columns.len()),
            role.name(),
            names.join(" and ")
        ));
        place = place.or(Some(columns[0]));
        let twice =
            columns.iter().filter(|column| row.text(**column) == row.text(columns[0])).count();
        let name = if twice > 1 { (columns[0] + 1).to_string() } else { text(columns[0]) };
        say.push((*role, name));
    }
    let one = lacking.len() == 1;
    for role in lacking {
        if asked.column(role).is_some() {
            continue;
        }
        messages.push(format!("there is no column for the {}", role.name()));
        let near: Vec<usize> = (0..header.said.len())
            .filter(|column| header.said[*column].role.is_some_and(|(known, _)| known == role))
            .collect();
        for column in &near {
            let hidden = if table.hidden.contains(column) { ", which is hidden," } else { "" };
            messages.push(format!("\"{}\"{hidden} looks close to it", row.text(*column)));
        }
        let other =
            near.first().copied().or_else(|| unknown_numbers(table, header).filter(|_| one));
        say.push((role, other.map_or_else(|| "HEADING".to_owned(), text)));
    }
    let mut messages = messages.into_iter();
    let mut problem =
        Problem::error(messages.next().unwrap_or_default()).at(table.place_of(row.line, place));
    for message in messages {
        problem = problem.detail(message);
    }
    problem
        .detail(format!("headings read: {}", seen.join(", ")))
        .help(format!("name the columns, such as {}", asked.by.columns(&say)))
}

/// A column of numbers that nothing is known of.
fn unknown_numbers(table: &Table, header: &Header) -> Option<usize> {
    let row = table.rows.get(header.first)?;
    (0..header.said.len()).find(|column| {
        header.said[*column].role.is_none()
            && !header.row.text(*column).is_empty()
            && row.cell(*column).is_some_and(is_number)
    })
}

fn count(number: usize) -> String {
    match number {
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        n => n.to_string(),
    }
}

fn with_header(
    table: &Table,
    found: &Header,
    end: usize,
    asked: &Asked,
) -> Result<Columns, Problem> {
    let header = &found.row;
    let missing = asked.columns.iter().any(|(_, name)| named(found, name, asked).is_none());
    if missing {
        return Err(incomplete(table, found, asked));
    }
    let mut columns = Columns {
        kind: kind(found),
        places: found.places.clone(),
        first: found.first,
        end,
        header_line: Some(header.line),
        units: Vec::new(),
        width: header.cells.len(),
        remarks: Vec::new(),
    };
    if found.rows == 2 {
        columns
            .remarks
            .push(format!("the headings stand in two rows, the second is row {}", header.line));
    }
    let used = |role: Role| role.is_number() && columns.kind.uses(role);
    let foreign = found.places.iter().find(|(role, column)| {
        used(*role) && found.said.get(*column).is_some_and(|said| said.foreign)
    });
    if let Some((role, column)) = foreign {
        return Err(Problem::error(format!(
            "\"{}\" gives the {} in a unit that no list is read in",
            header.text(*column),
            role.name()
        ))
        .at(table.place_of(header.line, Some(*column)))
        .help(format!("convert the column to one of {}", LengthUnit::NAMES.join(", "))));
    }
    let side = found.said.iter().position(|said| said.side && said.role.is_none());
    if let Some(column) = side.filter(|_| !columns.kind.in_plane()) {
        return Err(Problem::error(format!(
            "\"{}\" says on which side of the line the shots are",
            header.text(column)
        ))
        .at(table.place_of(header.line, Some(column)))
        .help("write the side as the sign of the offset: positive towards the earth, negative in front of the wall"));
    }
    let titles: Vec<&Row> = match asked.heading_row {
        _ if found.at == 0 => Vec::new(),
        _ => table.rows[..found.at].iter().rev().take_while(|row| words_only(row)).collect(),
    };
    units::stated(table, &mut columns, &found.said, &titles)?;
    if !titles.is_empty() {
        columns.remarks.push(counted(
            titles.len(),
            "row above the header was read as a title",
            "rows above the header were read as titles",
        ));
    }
    for (role, _) in &found.places {
        if !columns.kind.uses(*role) || !role.is_number() || asked.column(*role).is_some() {
            continue;
        }
        let passed: Vec<String> = (0..found.said.len())
            .filter(|column| {
                let said = found.said[*column].role;
                let hidden = said == Some((*role, true)) && table.hidden.contains(column);
                said == Some((*role, false)) || hidden
            })
            .map(|column| {
                let hidden = if table.hidden.contains(&column) { " (hidden)" } else { "" };
                format!("\"{}\"{hidden}", header.text(column))
            })
            .collect();
        if !passed.is_empty() {
            columns.remarks.push(format!(
                "not taken for the {}: {}",
                role.name(),
                passed.join(", ")
            ));
        }
    }
    let unread: Vec<String> = (0..found.said.len())
        .filter(|column| !found.places.iter().any(|(_, known)| known == column))
        .map(|column| header.text(column))
        .filter(|text| !text.is_empty())
        .map(|text| format!("\"{text}\""))
        .collect();
    if !unread.is_empty() {
        let (more, shown) = (unread.len().saturating_sub(12), unread.len().min(12));
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        columns.remarks.push(format!("columns not read: {}{more}", unread[..shown].join(", ")));
    }
    if table.spaced {
        spaced_width(table, &columns, header, asked)?;
    }
    Ok(columns)
}

/// Between spaces a heading of two words shifts the columns: rows must have as many fields as there are headings, or one
/// less where the codes stand last.
fn spaced_width(
    table: &Table,
    columns: &Columns,
    header: &Row,
    asked: &Asked,
) -> Result<(), Problem> {
    let usual = position::usual_width(&table.rows[columns.first..columns.end]);
    let code_last = columns.of(Role::Code) == Some(columns.width - 1);
    if usual == columns.width || usual == 0 || code_last && usual + 1 == columns.width {
        return Ok(());
    }
    Err(Problem::error(format!(
        "{} headings stand over rows of {usual} fields between spaces",
        columns.width
    ))
    .at(table.place_of(header.line, None))
    .help(format!(
        "say the order of the columns, such as {}",
        asked.by.order(&[Role::Point, Role::Northing, Role::Easting, Role::Elevation])
    )))
}
