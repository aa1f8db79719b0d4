//! Which column of a list holds what.

use super::LengthUnit;
use crate::measure::Decimal;
use crate::problem::{Problem, closest};
use crate::table::{Row, Table};

/// What a column of a shot list holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Name or number of the point.
    Point,
    /// Northing.
    Northing,
    /// Easting.
    Easting,
    /// Elevation.
    Elevation,
    /// Code or description.
    Code,
    /// Wall that a station is on.
    Wall,
    /// Station along a wall, or along the chain of walls.
    Station,
    /// Offset from the exposed face, positive towards the earth.
    Offset,
    /// Rod reading, sign as written.
    Rod,
    /// Rod reading on a point of known height.
    Backsight,
    /// Rod reading on a turning point, or closing on a known one.
    Foresight,
}

/// What kind of list it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListKind {
    /// Northing, easting, elevation.
    Coordinates,
    /// Northing, easting and rod reading.
    CoordinateRods,
    /// Station and elevation, with or without wall and offset.
    Stations,
    /// Station and rod reading.
    Rods,
}

impl ListKind {
    /// Columns that it needs.
    pub fn needs(self) -> &'static [Role] {
        match self {
            Self::Coordinates => &[Role::Northing, Role::Easting, Role::Elevation],
            Self::CoordinateRods => &[Role::Northing, Role::Easting, Role::Rod],
            Self::Stations => &[Role::Station, Role::Elevation],
            Self::Rods => &[Role::Station, Role::Rod],
        }
    }

    /// Whether heights follow from rod readings.
    pub fn by_rod(self) -> bool {
        matches!(self, Self::CoordinateRods | Self::Rods)
    }

    /// Whether places are coordinates.
    pub fn in_plane(self) -> bool {
        matches!(self, Self::Coordinates | Self::CoordinateRods)
    }

    /// The kind of list that has these columns; coordinates where none is complete. Backsights make it a level note,
    /// whose column of elevations holds what the surveyor worked out or known heights.
    fn of(places: &[(Role, usize)]) -> Self {
        let note = places.iter().any(|(role, _)| *role == Role::Backsight);
        let complete = |kind: &Self| {
            kind.needs().iter().all(|need| places.iter().any(|(role, _)| role == need))
        };
        let all = [Self::Coordinates, Self::Stations, Self::CoordinateRods, Self::Rods];
        let mut complete = all.into_iter().filter(complete);
        if note {
            let kinds: Vec<Self> = complete.collect();
            let rods = kinds.iter().copied().find(|kind| kind.by_rod());
            return rods.or(kinds.first().copied()).unwrap_or(Self::Coordinates);
        }
        complete.next().unwrap_or(Self::Coordinates)
    }
}

impl Role {
    /// All roles.
    pub const ALL: [Self; 11] = [
        Self::Point,
        Self::Northing,
        Self::Easting,
        Self::Elevation,
        Self::Code,
        Self::Wall,
        Self::Station,
        Self::Offset,
        Self::Rod,
        Self::Backsight,
        Self::Foresight,
    ];

    /// Its name for people and for settings.
    pub fn name(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Northing => "northing",
            Self::Easting => "easting",
            Self::Elevation => "elevation",
            Self::Code => "code",
            Self::Wall => "wall",
            Self::Station => "station",
            Self::Offset => "offset",
            Self::Rod => "rod",
            Self::Backsight => "backsight",
            Self::Foresight => "foresight",
        }
    }

    /// Words that head such a column, in lower case without punctuation.
    fn headings(self) -> &'static [&'static str] {
        match self {
            Self::Point => &[
                "point",
                "pt",
                "p",
                "no",
                "nr",
                "number",
                "id",
                "name",
                "pnt",
                "point no",
                "point number",
                "point id",
                "pt no",
                "pt id",
                "point name",
            ],
            Self::Northing => &["northing", "north", "n", "y", "y coordinate", "grid north"],
            Self::Easting => &["easting", "east", "e", "x", "x coordinate", "grid east"],
            Self::Elevation => {
                &["elevation", "elev", "el", "z", "height", "h", "rl", "level", "z coordinate"]
            }
            Self::Code => {
                &["code", "desc", "description", "d", "feature", "feature code", "remark"]
            }
            Self::Wall => &["wall", "wall id", "wall name", "transect"],
            Self::Station => {
                &["station", "sta", "chainage", "distance", "dist", "tape", "chain station"]
            }
            Self::Offset => &["offset", "off"],
            Self::Rod => &[
                "rod",
                "rod reading",
                "reading",
                "intermediate",
                "intermediate sight",
                "is",
                "invertrod",
                "inverted rod",
            ],
            Self::Backsight => &["backsight", "bs", "back sight"],
            Self::Foresight => &["foresight", "fs", "fore sight"],
        }
    }

    fn is_number(self) -> bool {
        matches!(
            self,
            Self::Northing
                | Self::Easting
                | Self::Elevation
                | Self::Station
                | Self::Offset
                | Self::Rod
                | Self::Backsight
                | Self::Foresight
        )
    }
}

/// Headings that the job fixes for some roles.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnNames(pub Vec<(Role, String)>);

impl ColumnNames {
    fn of(&self, role: Role) -> Option<&str> {
        self.0.iter().find(|(known, _)| *known == role).map(|(_, name)| name.as_str())
    }
}

/// What was understood of a list's columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// What kind of list it is.
    pub kind: ListKind,
    /// Column of each role that was found, counted from 0.
    pub places: Vec<(Role, usize)>,
    /// Index into the table's rows of the first row of data.
    pub first: usize,
    /// Line of the header, if there is one.
    pub header_line: Option<usize>,
    /// Unit stated in the headings or in a row of units.
    pub unit: Option<LengthUnit>,
    /// Number of columns that a row may fill, in a list separated by spaces.
    pub width: Option<usize>,
    /// What was assumed, for the report.
    pub remarks: Vec<String>,
}

impl Columns {
    /// The roles that a column was found for and that a list of this kind has no use for.
    pub fn idle(&self) -> Vec<Role> {
        let kind = self.kind;
        let serves = |role: Role| match role {
            Role::Point | Role::Code => true,
            Role::Wall | Role::Station | Role::Offset => !kind.in_plane(),
            Role::Northing | Role::Easting => kind.in_plane(),
            Role::Elevation => !kind.by_rod(),
            Role::Rod | Role::Backsight | Role::Foresight => kind.by_rod(),
        };
        self.places.iter().map(|(role, _)| *role).filter(|role| !serves(*role)).collect()
    }

    /// The column of a role.
    pub fn of(&self, role: Role) -> Option<usize> {
        self.places.iter().find(|(known, _)| *known == role).map(|(_, column)| *column)
    }
}

/// A heading without its unit and punctuation, in lower case; and the unit.
fn heading(text: &str) -> (String, Option<LengthUnit>) {
    let (name, unit) = match text.find(['(', '[']) {
        Some(open) => (&text[..open], Some(&text[open + 1..])),
        None => match text.split_once(',') {
            Some((name, unit)) => (name, Some(unit)),
            None => (text, None),
        },
    };
    let unit = unit.and_then(|u| LengthUnit::parse(u.trim_matches([')', ']', ' '])));
    let words: Vec<String> = name
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    (words.join(" "), unit)
}

/// Rows at the top of a list among which the header is looked for.
const HEADER_WITHIN: usize = 30;

/// Finds out which column holds what.
///
/// # Errors
/// A needed column is missing or doubtful; the message lists the headings that were seen.
pub fn recognise(table: &Table, names: &ColumnNames) -> Result<Columns, Problem> {
    let mut best: Option<(Header, Vec<(Role, usize)>)> = None;
    for (index, row) in table.rows.iter().take(HEADER_WITHIN).enumerate() {
        let one = Header { row: row.clone(), above: index, first: index + 1, rows: 1 };
        let two = table.rows.get(index + 1).filter(|_| looks_like_header(row));
        let two = two.filter(|next| looks_like_header(next)).map(|next| Header {
            row: over(row, next),
            above: index,
            first: index + 2,
            rows: 2,
        });
        for header in [Some(one), two].into_iter().flatten() {
            let found = roles_of(&header.row, names, table)?;
            // Two rows are read as one only where both say something that the lower alone does not.
            let lower = table.rows.get(index + 1).filter(|_| header.rows == 2);
            if let Some(lower) = lower
                && roles_of(lower, names, table)?.len() >= found.len()
            {
                continue;
            }
            let numbers = found.iter().filter(|(role, _)| role.is_number()).count();
            let better = best.as_ref().is_none_or(|(_, known)| found.len() > known.len());
            if numbers >= 1 && found.len() >= 2 && better {
                best = Some((header, found));
            }
        }
    }
    match best {
        Some((header, found)) => with_header(table, &header, found, names),
        None => without_header(table, names),
    }
}

/// A row of headings, or two rows read as one.
struct Header {
    row: Row,
    /// Rows above it.
    above: usize,
    /// Index of the first row after it.
    first: usize,
    rows: usize,
}

/// Two rows of headings as one: the lower where it says something, else the upper.
fn over(upper: &Row, lower: &Row) -> Row {
    let cell = |column: usize| {
        let said = |row: &Row| row.cell(column).filter(|cell| !cell.text.is_empty()).cloned();
        said(lower).or_else(|| said(upper)).unwrap_or_else(crate::table::Cell::empty)
    };
    let width = upper.cells.len().max(lower.cells.len());
    Row { line: lower.line, cells: (0..width).map(cell).collect() }
}

fn roles_of(row: &Row, names: &ColumnNames, table: &Table) -> Result<Vec<(Role, usize)>, Problem> {
    let mut found = Vec::new();
    for role in Role::ALL {
        let matches: Vec<usize> = (0..row.cells.len())
            .filter(|column| match names.of(role) {
                Some(name) => {
                    let exact = row.cells.iter().any(|cell| cell.text == *name);
                    let text = row.text(*column);
                    if exact { text == name } else { text.eq_ignore_ascii_case(name) }
                }
                None => {
                    let (word, _) = heading(row.text(*column));
                    let numbered = word.rsplit_once(' ').filter(|(_, n)| n.parse::<u32>().is_ok());
                    role.headings().contains(&word.as_str())
                        || (role == Role::Station
                            && numbered.is_some_and(|(word, _)| role.headings().contains(&word)))
                }
            })
            .collect();
        // Of several, the one that says nothing more than the word itself.
        let plain = |column: &usize| !row.text(*column).contains(['(', '[', ',']);
        let plainest: Vec<usize> = matches.iter().copied().filter(plain).collect();
        let matches = if plainest.len() == 1 { plainest } else { matches };
        match matches[..] {
            [] => {}
            [one] => found.push((role, one)),
            // A list with codes and remarks has its codes where it says so.
            [first, ..] if role == Role::Code => {
                let rank = |column: usize| {
                    let (word, _) = heading(row.text(column));
                    role.headings().iter().position(|known| *known == word)
                };
                found.push((
                    role,
                    matches.iter().copied().min_by_key(|c| rank(*c)).unwrap_or(first),
                ));
            }
            // Several distances say nothing where coordinates do; a list of stations then lacks its station.
            _ if matches!(role, Role::Wall | Role::Station | Role::Offset | Role::Rod) => {}
            [first, second, ..] if looks_like_header(row) => {
                return Err(Problem::error(format!(
                    "two columns could be the {}: \"{}\" and \"{}\"",
                    role.name(),
                    row.text(first),
                    row.text(second)
                ))
                .at(table.place_of(row.line, Some(first)))
                .help(format!(
                    "say which in job.toml: shots.columns.{} = \"{}\"",
                    role.name(),
                    row.text(first)
                )));
            }
            _ => {}
        }
    }
    Ok(found)
}

fn looks_like_header(row: &Row) -> bool {
    row.cells.iter().filter(|cell| is_number(&cell.text)).count() == 0
}

fn is_number(text: &str) -> bool {
    Decimal::parse(text).is_some()
}

/// A heading that the job names for a role, and no column has.
fn named_but_missing(
    table: &Table,
    header: &Row,
    places: &[(Role, usize)],
    names: &ColumnNames,
) -> Option<Problem> {
    let found = |role: Role| places.iter().any(|(known, _)| *known == role);
    let (role, name) = names.0.iter().find(|(role, _)| !found(*role))?;
    let problem = Problem::error(format!(
        "no column is headed \"{name}\", which job.toml names for the {}",
        role.name()
    ))
    .at(table.place_of(header.line, None));
    let seen = header.cells.iter().map(|cell| cell.text.as_str()).filter(|text| !text.is_empty());
    Some(match closest(name, seen) {
        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
        None => problem.help(format!("correct shots.columns.{} in job.toml", role.name())),
    })
}

fn with_header(
    table: &Table,
    found: &Header,
    places: Vec<(Role, usize)>,
    names: &ColumnNames,
) -> Result<Columns, Problem> {
    let header = &found.row;
    let seen = || {
        let words: Vec<&str> =
            header.cells.iter().map(|c| c.text.as_str()).filter(|t| !t.is_empty()).collect();
        words.join(", ")
    };
    if let Some(problem) = named_but_missing(table, header, &places, names) {
        return Err(problem.detail(format!("headings read: {}", seen())));
    }
    let kind = ListKind::of(&places);
    let latitude = header.cells.iter().any(|cell| heading(&cell.text).0.starts_with("lat"));
    if kind == ListKind::Coordinates
        && latitude
        && !places.iter().any(|(role, _)| *role == Role::Northing)
    {
        return Err(Problem::error("latitude and longitude are no grid coordinates")
            .at(table.place_of(header.line, None))
            .detail(format!("headings read: {}", seen()))
            .help("export the points again as northing and easting in a grid of feet or metres"));
    }
    for role in kind.needs().iter().copied() {
        if !places.iter().any(|(known, _)| *known == role) {
            let near = header.cells.iter().find_map(|cell| {
                let (word, _) = heading(&cell.text);
                (word.len() > 2).then(|| {
                    closest(&word, role.headings().iter().copied()).map(|_| cell.text.clone())
                })?
            });
            let problem = Problem::error(format!("there is no column for the {}", role.name()))
                .at(table.place_of(header.line, None))
                .detail(format!("headings read: {}", seen()))
                .help(format!(
                    "head it with one of {}, or say in job.toml: shots.columns.{} = \"its heading\"",
                    role.headings()[..4].join(", "),
                    role.name()
                ));
            return Err(match near {
                Some(near) => problem.detail(format!("\"{near}\" looks close to it")),
                None => problem,
            });
        }
    }
    let mut remarks = Vec::new();
    let mut units: Vec<LengthUnit> = Vec::new();
    let numeric = || places.iter().filter(|(role, _)| role.is_number());
    units.extend(numeric().filter_map(|(_, column)| heading(header.text(*column)).1));
    let mut first = found.first;
    if found.rows == 2 {
        remarks.push(format!("the headings stand in two rows, the second is row {}", header.line));
    }
    if let Some(row) = table.rows.get(first) {
        let stated: Vec<LengthUnit> = numeric()
            .filter_map(|(_, column)| {
                LengthUnit::parse(row.text(*column).trim_matches(['(', ')', '[', ']']))
            })
            .collect();
        if stated.len() == numeric().count() {
            units.extend(stated);
            remarks.push(format!("row {} states the units", row.line));
            first += 1;
        }
    }
    if units.windows(2).any(|pair| pair[0] != pair[1]) {
        return Err(Problem::error("the columns state different units")
            .at(table.place_of(header.line, None))
            .help("northing, easting and elevation must be in one unit; convert the list, or correct its headings"));
    }
    if found.above > 0 {
        let above = found.above;
        remarks.push(format!("{above} row(s) above the header were read as titles"));
    }
    Ok(Columns {
        kind,
        places,
        first,
        header_line: Some(header.line),
        unit: units.first().copied(),
        width: table.spaced.then_some(header.cells.len()),
        remarks,
    })
}

fn without_header(table: &Table, names: &ColumnNames) -> Result<Columns, Problem> {
    let doubt = |what: &str| {
        Problem::error(what.to_owned())
            .at(table.place())
            .help("add a header row: point, northing, easting, elevation, code")
    };
    if let Some((role, name)) = names.0.first() {
        return Err(doubt(&format!(
            "no row has the heading \"{name}\" that job.toml names for the {}",
            role.name()
        )));
    }
    // A first row of words over rows of numbers is a header that was not understood, never a row of data.
    if let [head, next, ..] = &table.rows[..]
        && looks_like_header(head)
        && !looks_like_header(next)
    {
        let words: Vec<&str> = head
            .cells
            .iter()
            .map(|cell| cell.text.as_str())
            .filter(|text| !text.is_empty())
            .collect();
        return Err(Problem::error("the headings of this list are not recognised")
            .at(table.place_of(head.line, None))
            .detail(format!("headings read: {}", words.join(", ")))
            .help("a list needs northing, easting or station, and elevation or rod: correct its headings, or name them in job.toml under shots.columns (rodbook new FOLDER starts one)"));
    }
    let rows: Vec<&Row> = table.rows.iter().filter(|row| row.cells.len() >= 3).take(20).collect();
    let numeric = |column: usize| {
        !rows.is_empty()
            && rows.iter().filter(|row| is_number(row.text(column))).count() * 2 > rows.len()
    };
    let width = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    let usual = (0..=width).max_by_key(|n| rows.iter().filter(|row| row.cells.len() == *n).count());
    let usual = usual.unwrap_or(width);
    use Role::{Code, Easting, Elevation, Northing, Point};
    let order: &[Role] = match width {
        4.. if numeric(1) && numeric(2) && numeric(3) => {
            &[Point, Northing, Easting, Elevation, Code]
        }
        3.. if numeric(0) && numeric(1) && numeric(2) => &[Northing, Easting, Elevation, Code],
        _ => {
            return Err(doubt(
                "no header was found, and the columns cannot be told apart without one",
            ));
        }
    };
    let places: Vec<(Role, usize)> = order
        .iter()
        .copied()
        .enumerate()
        .filter(|(column, _)| *column < width)
        .map(|(c, role)| (role, c))
        .collect();
    let assumed: Vec<&str> = places.iter().map(|(role, _)| role.name()).collect();
    Ok(Columns {
        kind: ListKind::Coordinates,
        places,
        first: 0,
        header_line: None,
        unit: None,
        width: table.spaced.then_some(usual),
        remarks: vec![format!("no header: columns taken as {}", assumed.join(", "))],
    })
}
