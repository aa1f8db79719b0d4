//! The grid of joints on which risers may stand: panels with kits at the ends, courses, or none; whole modules, the left-over
//! closure, and the cells between the places where a level, a type or a top may change.

use crate::measure::{Nm, choice};
use crate::problem::{Faults, Problem};
use crate::survey::{Chain, EndKind};

use super::rules::RiserPlace;
use super::{StepRules, TopLine};

choice! {
    /// What a wall case asks for: where its risers may stand.
    pub enum GridKind, "the grid of a wall case" {
        /// On the joints of whole form panels, counted from the kits at the corners.
        Panels = "panels",
        /// On whole units of a course, counted from the end of each wall.
        Courses = "courses",
        /// Nowhere: the footing stays on one level.
        OneLevel = "one level",
    }
}

/// What decides where joints stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joints {
    /// Whole panels between the kits of the corners.
    Panels {
        /// Panel width.
        panel: Nm,
        /// Leg of the inside corner.
        corner_leg: Nm,
    },
    /// Whole units of a course.
    Courses {
        /// Length of a unit, or of the part of one on which a step may stand.
        unit: Nm,
    },
    /// There are none.
    OneLevel,
}

/// Joints and levels of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Module {
    /// Where joints stand.
    pub joints: Joints,
    /// One level.
    pub rise: Nm,
    /// Top of footing at level 0.
    pub level_0: Nm,
    /// Lowest level.
    pub lowest: i32,
    /// Highest level.
    pub highest: i32,
}

impl Module {
    /// The key of the settings that decides how low and how high the levels go.
    pub fn key(&self, end: &str) -> String {
        match self.joints {
            Joints::Panels { .. } => format!("module.{end}_level"),
            Joints::Courses { .. } => format!("course_grid.{end}_level"),
            Joints::OneLevel => "one_level.top_of_footing".to_owned(),
        }
    }

    /// Top of footing at a level.
    pub fn top_of_footing(&self, level: i32) -> Nm {
        self.level_0 + self.rise * i64::from(level)
    }

    /// The level of a top of footing, if it is on one of the range.
    pub fn level_of(&self, tof: Nm) -> Option<i32> {
        let up = tof - self.level_0;
        let level = i32::try_from(up.0 / self.rise.0).ok()?;
        (up.0 % self.rise.0 == 0 && self.levels().contains(&level)).then_some(level)
    }

    /// The levels, from the lowest.
    pub fn levels(&self) -> std::ops::RangeInclusive<i32> {
        self.lowest..=self.highest
    }
}

/// An end of a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Its start.
    Start,
    /// Its end.
    End,
}

impl End {
    /// Its name in settings and for machines.
    pub fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::End => "end",
        }
    }

    /// The other end.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Start => Self::End,
            Self::End => Self::Start,
        }
    }
}

/// Where the top of a wall changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TopBreak {
    /// Its number among the tops that the plan gives its wall, from 0.
    pub number: usize,
    /// Local station from which the top holds.
    pub from: Nm,
    /// Top of wall.
    pub top: Nm,
    /// Top where this stretch ends, if it slopes there in a straight line.
    pub end_top: Option<Nm>,
}

/// What the plan says of one wall beside its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WallSpec {
    /// Stem thickness.
    pub stem: Nm,
    /// Tops, the first from station 0.
    pub tops: Vec<TopBreak>,
    /// End from which the joints are counted, where the corners do not decide it.
    pub origin: Option<End>,
    /// Length taken at the start by a kit that belongs to a wall outside the job.
    pub lead_start: Option<Nm>,
    /// The same at the end.
    pub lead_end: Option<Nm>,
    /// Length that the kit of an oblique corner takes of the exposed face at the start.
    pub kit_start: Option<Nm>,
    /// The same at the end.
    pub kit_end: Option<Nm>,
}

impl WallSpec {
    /// The top that holds from a local station on.
    fn top_at(&self, at: Nm) -> Option<&TopBreak> {
        self.tops.iter().rev().find(|change| change.from <= at)
    }

    /// The top over a stretch in which it does not change but by its slope, on a wall of this length.
    fn top_over(&self, from: Nm, to: Nm, length: Nm) -> TopLine {
        let Some(change) = self.top_at(from) else { return TopLine::level(Nm::ZERO) };
        let Some(end_top) = change.end_top else { return TopLine::level(change.top) };
        let end = self.tops.iter().map(|top| top.from).find(|at| *at > change.from);
        let line = TopLine { at_from: change.top, at_to: end_top };
        line.part((change.from, end.unwrap_or(length)), from, to)
    }

    /// Every top that it names, of sloping ones both ends.
    pub fn all_tops(&self) -> impl Iterator<Item = Nm> {
        self.tops.iter().flat_map(|top| [Some(top.top), top.end_top]).flatten()
    }

    /// Whether a top of it slopes.
    pub fn slopes(&self) -> bool {
        self.tops.iter().any(|top| top.end_top.is_some())
    }
}

/// The joints of one wall, in local stations.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WallGrid {
    /// End from which the joints are counted.
    pub origin: End,
    /// Length of the kit at the start.
    pub kit_start: Nm,
    /// Length of the kit at the end.
    pub kit_end: Nm,
    /// All joints, ascending.
    pub joints: Vec<Nm>,
    /// Joints on which a riser may stand.
    pub allowed: Vec<Nm>,
    /// Left-over width at the end that is not the origin.
    pub closure: Nm,
}

impl WallGrid {
    /// A wall on which no riser may stand.
    fn without_joints(length: Nm) -> Self {
        Self {
            origin: End::Start,
            kit_start: Nm::ZERO,
            kit_end: Nm::ZERO,
            joints: Vec::new(),
            allowed: Vec::new(),
            closure: length,
        }
    }
}

/// A stretch in which nothing changes but the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GridCell {
    /// Index of its wall.
    pub wall: usize,
    /// Running station of its start.
    pub from: Nm,
    /// Running station of its end.
    pub to: Nm,
    /// Top of wall.
    pub top: TopLine,
}

/// Joints and cells of the whole chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// Joints by wall.
    pub walls: Vec<WallGrid>,
    /// Cells in order along the walls.
    pub cells: Vec<GridCell>,
    /// Whether a riser may stand at the start of each cell.
    pub riser_at: Vec<bool>,
}

/// What is wrong with the joints of a wall.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GridFault {
    /// The number of the wall; none where it is about all of them.
    pub wall: Option<usize>,
    /// The number of its top that does not change on a joint.
    pub top: Option<usize>,
    /// What it is.
    pub problem: Problem,
}

impl From<Vec<GridFault>> for Faults {
    fn from(faults: Vec<GridFault>) -> Self {
        faults.into_iter().map(|fault| fault.problem).collect::<Vec<_>>().into()
    }
}

/// The widest left-over that the filler of a corner between chords takes up.
const MOST_IN_A_FILLER: Nm = Nm::INCH;
/// Most cells that a job may have.
const MOST_CELLS: usize = 200_000;

impl Grid {
    /// Lays the joints along every wall.
    ///
    /// # Errors
    /// Kits longer than a wall, no origin where both ends rank the same, a top that changes off the joints.
    pub fn new(
        chain: &Chain,
        specs: &[WallSpec],
        module: &Module,
        rules: &StepRules,
    ) -> Result<Self, Vec<GridFault>> {
        let mut faults = Vec::new();
        let mut walls = Vec::new();
        for index in 0..chain.walls().len() {
            match wall_grid(chain, specs, module, rules, index) {
                Ok(grid) => walls.push(grid),
                Err(problem) => faults.push(GridFault { wall: Some(index), top: None, problem }),
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut cells = Vec::new();
        let mut riser_at = Vec::new();
        for (index, (line, grid)) in chain.walls().iter().zip(&walls).enumerate() {
            let spec = &specs[index];
            for change in spec.tops.iter().skip(1) {
                let n = change.number;
                let anywhere = module.joints == Joints::OneLevel;
                if !anywhere && !grid.joints.contains(&change.from) || change.from >= line.length {
                    let problem = off_joint(chain, &line.id, n, change.from, &grid.joints);
                    faults.push(GridFault { wall: Some(index), top: Some(n), problem });
                }
            }
            if spec.slopes() && matches!(module.joints, Joints::Courses { .. }) {
                let problem = Problem::error(format!(
                    "the top of wall {} slopes, and its courses do not",
                    line.id
                ));
                let problem = problem.help("give the top in steps of whole courses");
                faults.push(GridFault { wall: Some(index), top: None, problem });
            }
            let mut edges: Vec<Nm> = vec![Nm::ZERO, line.length];
            edges.extend(spec.tops.iter().skip(1).map(|change| change.from));
            edges.extend(&grid.allowed);
            // Under a sloping top each panel has forms of its own height.
            let slopes = |at: &&Nm| spec.top_at(**at).is_some_and(|top| top.end_top.is_some());
            edges.extend(grid.joints.iter().filter(slopes));
            edges.retain(|at| (Nm::ZERO..=line.length).contains(at));
            edges.sort_unstable();
            edges.dedup();
            for pair in edges.windows(2) {
                riser_at.push(grid.allowed.binary_search(&pair[0]).is_ok());
                cells.push(GridCell {
                    wall: index,
                    from: line.station + pair[0],
                    to: line.station + pair[1],
                    top: spec.top_over(pair[0], pair[1], line.length),
                });
            }
        }
        if cells.len() > MOST_CELLS {
            let problem = Problem::error(format!("the walls have more than {MOST_CELLS} modules"));
            faults.push(GridFault { wall: None, top: None, problem });
        }
        if faults.is_empty() { Ok(Self { walls, cells, riser_at }) } else { Err(faults) }
    }

    /// Chain stations of the cell edges, from the first to the chain's end.
    pub fn edges(&self) -> Vec<Nm> {
        let ends = self.cells.last().map(|cell| cell.to);
        self.cells.iter().map(|cell| cell.from).chain(ends).collect()
    }
}

fn off_joint(chain: &Chain, id: &str, n: usize, from: Nm, joints: &[Nm]) -> Problem {
    let show = |length: Nm| chain.tape(length, 64);
    let below = joints.iter().filter(|joint| **joint < from).max();
    let above = joints.iter().filter(|joint| **joint > from).min();
    let near = match (below, above) {
        (Some(below), Some(above)) => {
            format!("; the joints beside it are at {} and {}", show(*below), show(*above))
        }
        (Some(one), None) | (None, Some(one)) => {
            format!("; the nearest joint is at {}", show(*one))
        }
        (None, None) => String::new(),
    };
    Problem::error(format!(
        "wall {id}: top {} starts at {}, which is not a joint of the wall{near}",
        n + 1,
        show(from),
    ))
    .help("tops change on joints, so that forms or courses of two heights never overlap")
}

/// Length that the kit of a corner takes of a wall's exposed face: by stem and leg where it is square, else as the settings
/// give it.
fn corner_kit(
    chain: &Chain,
    specs: &[WallSpec],
    wall: usize,
    at: End,
    leg: Nm,
) -> Result<Nm, Problem> {
    let (line, spec) = (&chain.walls()[wall], &specs[wall]);
    let given = if at == End::Start { spec.kit_start } else { spec.kit_end };
    let Some((corner, other)) = chain.corner_at(wall, at == End::End) else {
        return Ok(Nm::ZERO);
    };
    let (key, beside) = (at.name(), &chain.walls()[other].id);
    if corner.turn.is_square() {
        let other = if corner.is_convex() { specs[other].stem } else { Nm::ZERO };
        return match given {
            None => Ok(other + leg),
            Some(_) => Err(Problem::error(format!(
                "wall {}: kit_{key} is given, but the corner with {beside} is square",
                line.id
            ))
            .help("there the kit follows from the stem and the corner leg; take the key out")),
        };
    }
    let longer = corner.longer(spec.stem, specs[other].stem);
    if corner.chord && given.is_none() {
        // A filler on the longer face alone, half of it to each side.
        return Ok((Nm::ZERO - longer).max(Nm::ZERO));
    }
    let turns = format!(
        "wall {}: the corner with {beside} turns {:.2} degrees",
        line.id,
        corner.turn.degrees()
    );
    let Some(kit) = given else {
        return Err(Problem::error(format!("{turns}, and nothing says what its kit of forms takes of the exposed face"))
            .help(format!("give kit_{key} to this wall, from the corner to the first joint of panels: it depends on the forms and is never guessed")));
    };
    let on_earth = kit + longer;
    if on_earth < Nm::ZERO {
        let show = |length: Nm| chain.tape(length, 16);
        return Err(Problem::error(format!(
            "{turns}: the earth face ends {} before the exposed face, and kit_{key} is {}",
            show(kit - on_earth),
            show(kit)
        ))
        .help("the first joint of panels must lie on both faces: make the kit longer"));
    }
    Ok(kit)
}

fn wall_grid(
    chain: &Chain,
    specs: &[WallSpec],
    module: &Module,
    rules: &StepRules,
    wall: usize,
) -> Result<WallGrid, Problem> {
    let line = &chain.walls()[wall];
    let spec = &specs[wall];
    let (start, end) = (chain.start_kind(wall), chain.end_kind(wall));
    let panels = matches!(module.joints, Joints::Panels { .. });
    if !panels && (spec.kit_start.is_some() || spec.kit_end.is_some()) {
        return Err(Problem::error(format!(
            "wall {}: kits of forms are given, and the wall case has no panels",
            line.id
        ))
        .help("take kit_start and kit_end out"));
    }
    let (unit, corner_leg) = match module.joints {
        Joints::Panels { panel, corner_leg } => (panel, Some(corner_leg)),
        Joints::Courses { unit } => (unit, None),
        Joints::OneLevel => return Ok(WallGrid::without_joints(line.length)),
    };
    let kit = |at: End, kind: EndKind| match (kind, corner_leg) {
        (EndKind::Convex | EndKind::Concave, Some(leg)) => corner_kit(chain, specs, wall, at, leg),
        // Units run through to the corner.
        (EndKind::Convex | EndKind::Concave, None) => Ok(Nm::ZERO),
        (EndKind::Free, _) => {
            let (lead, kit) = match at {
                End::Start => (spec.lead_start, spec.kit_start),
                End::End => (spec.lead_end, spec.kit_end),
            };
            let key = at.name();
            match kit {
                None => Ok(lead.unwrap_or(Nm::ZERO)),
                Some(_) => Err(Problem::error(format!(
                    "wall {}: kit_{key} is given, but there it meets no wall of the job",
                    line.id
                ))
                .help(format!(
                    "for a wall outside the job give lead_{key}; else take the key out"
                ))),
            }
        }
    };
    let (mut kit_start, mut kit_end) = (kit(End::Start, start)?, kit(End::End, end)?);
    let chord =
        |at_end: bool| chain.corner_at(wall, at_end).is_some_and(|(corner, _)| corner.chord);
    let chords = [chord(false), chord(true)];
    let (start, end) = (chain.joint_rank(wall, false), chain.joint_rank(wall, true));
    let origin = match start.cmp(&end) {
        std::cmp::Ordering::Greater => End::Start,
        std::cmp::Ordering::Less => End::End,
        std::cmp::Ordering::Equal => match spec.origin {
            Some(origin) => origin,
            None if start == EndKind::Free => End::Start,
            None => {
                return Err(Problem::error(format!(
                    "wall {}: both ends are {} corners, so the joints could be counted from either",
                    line.id,
                    start.name()
                ))
                .help("set grid_origin = \"start\" or \"end\" for this wall"));
            }
        },
    };
    let (first, last) = match origin {
        End::Start => (kit_start, kit_end),
        End::End => (kit_end, kit_start),
    };
    let free = line.length - last - first;
    if free < Nm::ZERO {
        return Err(Problem::error(format!(
            "wall {} is {} long; the kits at its ends take {}",
            line.id,
            chain.tape(line.length, 16),
            chain.tape(first + last, 16)
        ))
        .help("no joint is left on it; check its points, stem thickness and corner leg"));
    }
    let modules = free.0 / unit.0;
    if usize::try_from(modules).unwrap_or(usize::MAX) > MOST_CELLS {
        return Err(Problem::error(format!("wall {} has more than {MOST_CELLS} modules", line.id))
            .help("check the unit of its points and of the panel or course"));
    }
    let mut closure = Nm(free.0 % unit.0);
    let chord_at_closure = chords[usize::from(origin == End::Start)];
    if chord_at_closure && closure <= MOST_IN_A_FILLER {
        // What is left beside a corner between chords goes into its filler.
        *(if origin == End::Start { &mut kit_end } else { &mut kit_start }) += closure;
        closure = Nm::ZERO;
    }
    let mut joints: Vec<Nm> = (0..=modules).map(|k| first + unit * k).collect();
    if origin == End::End {
        joints = joints.iter().rev().map(|joint| line.length - *joint).collect();
    }
    // A riser beside a corner between chords stands on the corner itself, which belongs to the wall after it.
    let beside = |x: Nm| chords[0] && x <= kit_start || chords[1] && x >= line.length - kit_end;
    let on_corner = (chords[0] && wall > 0).then_some(Nm::ZERO);
    let inside =
        joints.iter().copied().filter(|x| *x > Nm::ZERO && *x < line.length && !beside(*x));
    let allowed = on_corner
        .into_iter()
        .chain(inside)
        .filter(|x| {
            let place = RiserPlace::new(chain, wall, *x, module.rise);
            rules.broken_by(place).next().is_none()
        })
        .collect();
    Ok(WallGrid { origin, kit_start, kit_end, joints, allowed, closure })
}
