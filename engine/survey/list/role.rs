//! What a column of a list holds, and what kind of list its columns make.

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
    /// Station along a wall, or along the walls.
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

    /// Its name for people, settings and options.
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

    /// Reads its name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.name() == name)
    }

    /// Whether it holds lengths.
    pub fn is_number(self) -> bool {
        !matches!(self, Self::Point | Self::Code | Self::Wall)
    }
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

    /// Whether a list of this kind has a use for a role.
    pub fn uses(self, role: Role) -> bool {
        match role {
            Role::Point | Role::Code => true,
            Role::Wall | Role::Station | Role::Offset => !self.in_plane(),
            Role::Northing | Role::Easting => self.in_plane(),
            Role::Elevation => !self.by_rod(),
            Role::Rod | Role::Backsight | Role::Foresight => self.by_rod(),
        }
    }

    /// The needed roles that are not among these.
    pub(super) fn lacking(self, places: &[(Role, usize)]) -> Vec<Role> {
        let there = |need: &Role| places.iter().any(|(role, _)| role == need);
        self.needs().iter().copied().filter(|need| !there(need)).collect()
    }

    /// The kind of list that has these columns; where none is complete, the one that lacks least. Readings make it a level
    /// note, whose column of elevations holds what the surveyor worked out or known heights, unless the user names it.
    pub(super) fn of(places: &[(Role, usize)], heights_named: bool) -> Self {
        let has = |role| places.iter().any(|(known, _)| *known == role);
        let all = if heights_named {
            [Self::Coordinates, Self::Stations, Self::CoordinateRods, Self::Rods]
        } else if has(Role::Backsight) {
            [Self::CoordinateRods, Self::Rods, Self::Coordinates, Self::Stations]
        } else if has(Role::Foresight) && !has(Role::Elevation) {
            [Self::Rods, Self::CoordinateRods, Self::Stations, Self::Coordinates]
        } else {
            [Self::Coordinates, Self::Stations, Self::CoordinateRods, Self::Rods]
        };
        let least = all.into_iter().min_by_key(|kind| kind.lacking(places).len());
        least.unwrap_or(Self::Coordinates)
    }
}
