//! The dig as a solid against cases of the specification and against a plain grid of points, which knows nothing of
//! breaks, triangles or frames: it asks every point for its nearest wall and its lowest bank.

use num_rational::BigRational;
use num_traits::ToPrimitive;
use rodbook::earth::{Banks, Dig, DigParts, Fill, Floor, LaybackFrom};
use rodbook::footing::WorkSpace;
use rodbook::measure::{Nm, ratio};
use rodbook::survey::{Chain, NamedWall, Point, Polyline, Side};
use serde_json::Value;

use crate::support::{Numbers, read_json, read_text, run_spec};

const CHOICES: [Banks; 3] = [Banks::EARTH_SIDE, Banks::ENDS, Banks::ALL];

/// A dig in feet, as a test writes it.
#[derive(Debug, Clone)]
struct Case {
    points: Vec<[f64; 2]>,
    closed: bool,
    left: bool,
    ground: Vec<(f64, f64)>,
    floors: Vec<FloorFt>,
    layback: f64,
    /// Beyond the toe and beyond the heel.
    work_space: [f64; 2],
    from: LaybackFrom,
}

#[derive(Debug, Clone, Copy)]
struct FloorFt {
    wall: usize,
    from: f64,
    to: f64,
    toe: f64,
    width: f64,
    bof: f64,
    tof: f64,
}

fn nm(feet: f64) -> Nm {
    Nm((feet * 304_800_000.0).round() as i64)
}

/// A block in plan: its range along and across its wall, and which of its surroundings open.
type Around = (FloorFt, [f64; 4], [[bool; 3]; 3]);

fn floor(f: &FloorFt) -> Floor {
    Floor {
        wall: f.wall,
        from: nm(f.from),
        to: nm(f.to),
        toe: nm(f.toe),
        width: nm(f.width),
        bof: nm(f.bof),
        tof: nm(f.tof),
    }
}

impl Case {
    fn lengths(&self) -> Vec<f64> {
        let ends = self.points.iter().skip(1).chain(self.closed.then(|| &self.points[0]));
        self.points.iter().zip(ends).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).collect()
    }

    fn chain(&self) -> Option<Chain> {
        let at = |index: usize| self.points[index % self.points.len()];
        let point = |[e, n]: [f64; 2]| Point { e: nm(e), n: nm(n) };
        let wall = |(index, length): (usize, &f64)| NamedWall {
            id: format!("W{index}"),
            start: point(at(index)),
            end: point(at(index + 1)),
            length: Some(nm(*length)),
            chord: false,
        };
        let walls = self.lengths().iter().enumerate().map(wall).collect();
        Chain::new(walls, if self.left { Side::Left } else { Side::Right }, self.closed).ok()
    }

    fn existing(&self) -> Polyline {
        let knots = self.ground.iter().map(|(s, z)| (nm(*s), nm(*z))).collect();
        let line = match self.closed {
            true => Polyline::round(knots, nm(self.lengths().iter().sum())),
            false => Polyline::new(knots),
        };
        line.expect("a line")
    }

    fn dig<'a>(&self, chain: &'a Chain, existing: &'a Polyline) -> Dig<'a> {
        Dig {
            chain,
            existing,
            floors: self.floors.iter().map(floor).collect(),
            ends: [true; 2],
            work_space: WorkSpace { toe: nm(self.work_space[0]), heel: nm(self.work_space[1]) },
            layback: BigRational::from_float(self.layback).expect("finite"),
            from: self.from,
        }
    }

    /// Section and the three solids, in cubic yards.
    fn volumes(&self) -> Option<[f64; 4]> {
        let (chain, existing) = (self.chain()?, self.existing());
        let dig = self.dig(&chain, &existing);
        let section: BigRational = dig.floors.iter().map(|floor| dig.section(floor)).sum();
        let yard = ratio(i128::from(Nm::FOOT.0) * 3, 1).pow(3);
        let solids = dig.solid(&CHOICES);
        let sum = |at: usize| solids[at].iter().sum::<f64>() / 27.0;
        Some([(section / yard).to_f64()?, sum(0), sum(1), sum(2)])
    }

    fn height(&self, station: f64) -> f64 {
        let round: f64 = self.lengths().iter().sum();
        let mut knots = self.ground.clone();
        if self.closed {
            let (first, last) = (knots[0], knots[knots.len() - 1]);
            knots.insert(0, (last.0 - round, last.1));
            knots.push((first.0 + round, first.1));
        }
        let next = knots.iter().position(|(s, _)| *s > station);
        match next {
            None => knots[knots.len() - 1].1,
            Some(0) => knots[0].1,
            Some(n) => {
                let ((s, z), (t, end)) = (knots[n - 1], knots[n]);
                z + (end - z) * (station - s) / (t - s)
            }
        }
    }

    /// The walls: start, direction and length.
    fn walls(&self) -> Vec<([f64; 2], [f64; 2], f64)> {
        let at = |index: usize| self.points[index % self.points.len()];
        let wall = |(index, length): (usize, &f64)| {
            let (a, b) = (at(index), at(index + 1));
            (a, [(b[0] - a[0]) / length, (b[1] - a[1]) / length], *length)
        };
        self.lengths().iter().enumerate().map(wall).collect()
    }

    /// Across a wall towards the earth.
    fn earth(&self, d: [f64; 2]) -> [f64; 2] {
        if self.left { [-d[1], d[0]] } else { [d[1], -d[0]] }
    }

    /// Along and across a wall.
    fn local(&self, (start, along, _): ([f64; 2], [f64; 2], f64), p: [f64; 2]) -> (f64, f64) {
        let v = [p[0] - start[0], p[1] - start[1]];
        let n = self.earth(along);
        (v[0] * along[0] + v[1] * along[1], v[0] * n[0] + v[1] * n[1])
    }

    /// Of each block its range along and across its wall, and which of its eight surroundings open.
    fn around(&self, blocks: &[FloorFt], wk: [f64; 2], choice: Banks) -> Vec<Around> {
        let (walls, lengths) = (self.walls(), self.lengths());
        let count = walls.len();
        // Positive where the chain turns towards the earth.
        let turn = |before: usize, after: usize| {
            let (n, d) = (self.earth(walls[before].1), walls[after].1);
            n[0] * d[0] + n[1] * d[1]
        };
        let (ends, low) = (choice != Banks::EARTH_SIDE, choice == Banks::ALL);
        let banks = |f: &FloorFt| -> Around {
            let side = |finish: bool| {
                let here = if finish { f.to == lengths[f.wall] } else { f.from == 0.0 };
                if !here {
                    return (0.0, true, false);
                }
                let other = match finish {
                    true if f.wall + 1 < count => Some(f.wall + 1),
                    true => self.closed.then_some(0),
                    false if f.wall > 0 => Some(f.wall - 1),
                    false => self.closed.then_some(count - 1),
                };
                let Some(other) = other else {
                    return (if ends { wk[0].max(wk[1]) } else { 0.0 }, ends, false);
                };
                let touching = |g: &&FloorFt| {
                    g.wall == other && if finish { g.from == 0.0 } else { g.to == lengths[other] }
                };
                let g = blocks.iter().find(touching).expect("a floor");
                let convex = if finish { turn(f.wall, other) } else { turn(other, f.wall) } > 0.0;
                if convex {
                    (wk[0] + g.toe, low, false)
                } else {
                    (wk[1] + g.width - g.toe, true, true)
                }
            };
            let (start, end) = (side(false), side(true));
            let mut open = [[false; 3]; 3];
            (open[1][2], open[1][0]) = (true, low);
            (open[0][1], open[2][1]) = (start.1, end.1);
            for (along, end) in [(0, start), (2, end)] {
                for (across, side) in [(0, low), (2, true)] {
                    open[along][across] = end.2 || end.1 && side;
                }
            }
            let across = [-f.toe - wk[0], f.width - f.toe + wk[1]];
            (*f, [f.from - start.0, f.to + end.0, across[0], across[1]], open)
        };
        blocks.iter().map(banks).collect()
    }

    /// The nearest walls of a point, each with the running station there; two where it is as far from both.
    fn nearest(&self, p: [f64; 2]) -> Vec<(usize, f64)> {
        let (mut near, mut before) = (Vec::new(), 0.0);
        for (wall, (start, along, length)) in self.walls().into_iter().enumerate() {
            let v = [p[0] - start[0], p[1] - start[1]];
            let s = (v[0] * along[0] + v[1] * along[1]).clamp(0.0, length);
            near.push(((v[0] - s * along[0]).hypot(v[1] - s * along[1]), wall, before + s));
            before += length;
        }
        let best = near.iter().map(|(away, _, _)| *away).fold(f64::MAX, f64::min);
        near.retain(|(away, _, _)| *away < best + 1e-9);
        near.into_iter().map(|(_, wall, station)| (wall, station)).collect()
    }

    /// Visits the points of a midpoint grid in plan under which something may be dug: the point, its cut, whether that is a
    /// floor. Walls along the axes only.
    fn visit(&self, step: f64, choice: Banks, mut each: impl FnMut([f64; 2], f64, bool)) {
        let walls = self.walls();
        let all = self.around(&self.floors, self.work_space, choice);
        let top = self.ground.iter().map(|(_, z)| *z).fold(f64::MIN, f64::max);
        let foot = self.floors.iter().map(|f| f.bof).fold(f64::MAX, f64::min);
        let margin = ((top - foot) * self.layback + 16.0).ceil();
        let bound = |axis: usize, pick: fn(f64, f64) -> f64, from: f64| {
            self.points.iter().map(|p| p[axis]).fold(from, pick)
        };
        let (x0, x1) =
            (bound(0, f64::min, f64::MAX) - margin, bound(0, f64::max, f64::MIN) + margin);
        let (y0, y1) =
            (bound(1, f64::min, f64::MAX) - margin, bound(1, f64::max, f64::MIN) + margin);
        let cells = |a: f64, b: f64| ((b - a) / step).round() as usize;
        for i in 0..cells(x0, x1) {
            for j in 0..cells(y0, y1) {
                let p = [x0 + (i as f64 + 0.5) * step, y0 + (j as f64 + 0.5) * step];
                let (mut floor, mut bank) = (f64::MAX, f64::MAX);
                for (f, [a, b, c, d], open) in &all {
                    let (s, t) = self.local(walls[f.wall], p);
                    let class =
                        |x: f64, a: f64, b: f64| 1 + usize::from(x > b) - usize::from(x < a);
                    let (ci, cj) = (class(s, *a, *b), class(t, *c, *d));
                    if (ci, cj) == (1, 1) {
                        floor = floor.min(f.bof);
                    } else if open[ci][cj] {
                        let away = (a - s).max(s - b).max(0.0).hypot((c - t).max(t - d).max(0.0));
                        let foot = if self.from == LaybackFrom::Bottom { f.bof } else { f.tof };
                        bank = bank.min(foot + away / self.layback);
                    }
                }
                let cut = if floor < f64::MAX { floor } else { bank };
                if cut < top {
                    each(p, cut, floor < f64::MAX);
                }
            }
        }
    }

    /// The solids by that grid, in cubic yards.
    fn by_grid(&self, step: f64, choice: Banks) -> f64 {
        let mut sum = 0.0;
        self.visit(step, choice, |p, cut, _| {
            // A point as far from two walls takes half of either.
            let near = self.nearest(p);
            let over = near.iter().map(|(_, station)| (self.height(*station) - cut).max(0.0));
            sum += over.sum::<f64>() / near.len() as f64;
        });
        sum * step * step / 27.0
    }

    /// The same dig told from the other end.
    fn reversed(&self) -> Self {
        let lengths = self.lengths();
        let whole: f64 = lengths.iter().sum();
        let mut points: Vec<[f64; 2]> = self.points.iter().rev().copied().collect();
        if self.closed {
            points.rotate_right(1);
        }
        let last = lengths.len() - 1;
        let floor = |f: &FloorFt| FloorFt {
            wall: last - f.wall,
            from: lengths[f.wall] - f.to,
            to: lengths[f.wall] - f.from,
            ..*f
        };
        let turned = self.ground.iter().rev().map(|(s, z)| (whole - s, *z));
        let round = |(s, z)| if self.closed && s >= whole { (s - whole, z) } else { (s, z) };
        let mut ground: Vec<(f64, f64)> = turned.map(round).collect();
        ground.sort_by(|a, b| a.0.total_cmp(&b.0));
        let floors = self.floors.iter().rev().map(floor).collect();
        Self { points, ground, floors, left: !self.left, ..self.clone() }
    }

    fn moved(&self, left: bool, place: impl Fn([f64; 2]) -> [f64; 2]) -> Self {
        Self { points: self.points.iter().map(|p| place(*p)).collect(), left, ..self.clone() }
    }
}

fn of_json(case: &Value) -> Case {
    let number = |value: &Value| value.as_f64().expect("a number");
    let pair = |value: &Value| [number(&value[0]), number(&value[1])];
    let list = |name: &str| case[name].as_array().expect("a list").clone();
    let floor = |f: &Value| FloorFt {
        wall: f["wall"].as_u64().expect("an index") as usize,
        from: number(&f["from_ft"]),
        to: number(&f["to_ft"]),
        toe: number(&f["toe_ft"]),
        width: number(&f["width_ft"]),
        bof: number(&f["bof_ft"]),
        tof: number(&f["tof_ft"]),
    };
    Case {
        points: list("points_ft").iter().map(pair).collect(),
        closed: false,
        left: case["earth_side"] == "left",
        ground: list("ground_ft").iter().map(|p| (number(&p[0]), number(&p[1]))).collect(),
        floors: list("floors").iter().map(floor).collect(),
        layback: number(&case["layback"]),
        work_space: [number(&case["work_space_ft"]); 2],
        from: LaybackFrom::FootingTop,
    }
}

/// A random chain with corners of both kinds or a ring, steps, types that differ, and uneven ground.
fn random(numbers: &mut Numbers) -> Case {
    loop {
        let mut points = vec![[0.0, 0.0]];
        let closed = numbers.below(4) == 0;
        if closed {
            let (a, b) = (numbers.between(12.0, 24.0, 1.0), numbers.between(12.0, 24.0, 1.0));
            points.extend([[a, 0.0], [a, b], [0.0, b]]);
        } else {
            let (mut x, mut y, mut d) = (0.0, 0.0, [1.0, 0.0]);
            for _ in 0..=numbers.below(4) {
                let length = numbers.between(10.0, 26.0, 1.0);
                (x, y) = (x + d[0] * length, y + d[1] * length);
                points.push([x, y]);
                d = if numbers.below(2) == 0 { [-d[1], d[0]] } else { [d[1], -d[0]] };
            }
        }
        let mut case = Case {
            points,
            closed,
            left: numbers.below(2) == 0,
            ground: Vec::new(),
            floors: Vec::new(),
            layback: [0.75, 1.0, 1.5][numbers.below(3) as usize],
            work_space: [numbers.between(0.0, 2.0, 0.5), numbers.between(0.0, 2.0, 0.5)],
            from: [LaybackFrom::Bottom, LaybackFrom::FootingTop][numbers.below(2) as usize],
        };
        if case.chain().is_none() {
            continue;
        }
        for (wall, length) in case.lengths().into_iter().enumerate() {
            let cut = numbers.between(4.0, length - 4.0, 0.5);
            let parts =
                if numbers.below(2) == 0 { vec![0.0, length] } else { vec![0.0, cut, length] };
            for pair in parts.windows(2) {
                let width = numbers.between(3.0, 6.0, 0.5);
                let bof = numbers.between(98.0, 101.0, 0.5);
                case.floors.push(FloorFt {
                    wall,
                    from: pair[0],
                    to: pair[1],
                    toe: numbers.between(0.5, 1.5, 0.25),
                    width,
                    bof,
                    tof: bof + numbers.between(0.75, 1.5, 0.25),
                });
            }
        }
        let whole: f64 = case.lengths().iter().sum();
        let mut station = 0.0;
        while station < whole - 1.0 {
            case.ground.push((station, numbers.between(97.0, 106.0, 0.25)));
            station += numbers.between(6.0, 20.0, 0.5);
        }
        return case;
    }
}

#[test]
fn the_cases_of_the_specification() {
    let cases = read_json("dig_cases.json");
    for case in cases["cases"].as_array().expect("cases") {
        let volumes = of_json(case).volumes().expect("a chain");
        let names = ["section_cy", "solid_cy", "with_ends_cy", "with_ends_and_low_cy"];
        for (name, volume) in names.into_iter().zip(volumes) {
            let expected = case["expected"][name].as_f64().expect("a number");
            let off = (volume / expected - 1.0).abs();
            assert!(off < 2e-4, "{} {name}: {volume} for {expected}", case["id"]);
        }
    }
}

#[test]
fn random_chains_as_a_grid_has_them() {
    let mut numbers = Numbers(26);
    for round in 0..12 {
        let case = random(&mut numbers);
        let volumes = case.volumes().expect("a chain");
        for (choice, volume) in CHOICES.into_iter().zip(&volumes[1..]) {
            let grid = case.by_grid(0.05, choice);
            assert!(
                (volume - grid).abs() < 2e-4 * grid + 0.01,
                "round {round} {choice:?}: {volume} for {grid} {case:?}"
            );
        }
    }
}

#[test]
fn told_another_way_it_is_the_same() {
    let mut numbers = Numbers(7);
    let (sin, cos) = 37f64.to_radians().sin_cos();
    for round in 0..40 {
        let case = random(&mut numbers);
        let one = case.volumes().expect("a chain");
        let turned = case.moved(case.left, |[x, y]| [x * cos - y * sin, x * sin + y * cos]);
        let mirrored = case.moved(!case.left, |[x, y]| [-x, y]);
        let mut lifted = case.clone();
        lifted.ground.iter_mut().for_each(|(_, z)| *z += 1.0);
        lifted.floors.iter_mut().for_each(|floor| {
            floor.bof += 1.0;
            floor.tof += 1.0;
        });
        for (how, other) in [
            ("reversed", case.reversed()),
            ("mirrored", mirrored),
            ("turned", turned),
            ("lifted", lifted),
        ] {
            let other = other.volumes().expect("a chain");
            for (a, b) in one.iter().zip(other) {
                assert!((a - b).abs() < 1e-6, "round {round} {how}: {a} and {b} {case:?}");
            }
        }
    }
}

#[test]
fn a_higher_ground_never_digs_less() {
    let mut numbers = Numbers(11);
    for round in 0..20 {
        let mut case = random(&mut numbers);
        let mut last: Option<[f64; 4]> = None;
        for _ in 0..12 {
            let [section, solid, ends, low] = case.volumes().expect("a chain");
            let lines = [section, solid, ends - solid, low - ends];
            for (a, b) in last.iter().flatten().zip(lines) {
                assert!(b >= a - 1e-9, "round {round}: {b} after {a} {case:?}");
            }
            last = Some(lines);
            case.ground.iter_mut().for_each(|(_, z)| *z += 0.001);
        }
    }
}

#[test]
fn the_solid_of_the_demo() {
    let done = run_spec(&read_json("job.json"), &read_text("shots.csv"));
    let takeoff = done.work.takeoff.as_ref().expect("a layout");
    let one = BigRational::from_float(1.0).expect("finite");
    let dig = Dig::of(&takeoff.layout, &one, LaybackFrom::FootingTop);
    let volume = dig.solid(&[Banks::ENDS])[0].iter().sum::<f64>() / 27.0;
    assert!((volume - 140.84).abs() < 0.03, "{volume}");
}

#[test]
fn the_readme_has_both_volumes_of_the_demo() {
    let readme = include_str!("../../README.md");
    for dig in ["section", "solid"] {
        let run = std::process::Command::new(env!("CARGO_BIN_EXE_rodbook"))
            .args(["check", concat!(env!("CARGO_MANIFEST_DIR"), "/examples/tarrow-bench")])
            .args(["--set", &format!("allowances.dig={dig}")])
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&run.stdout).into_owned();
        let volume = said.split("dig, bank ").nth(1).and_then(|rest| rest.split(" cy").next());
        let volume = volume.expect("a volume");
        assert!(readme.contains(&format!("{volume} cy")), "{dig}: {volume}");
    }
}

/// What stands in the dig of a case: the footing over its floors, a stem and drain rock behind it.
struct Built {
    stem: Vec<FloorFt>,
    drain: Vec<FloorFt>,
    finished: Vec<(f64, f64)>,
}

impl Built {
    const STEM: f64 = 1.0;
    const DRAIN: f64 = 1.25;

    /// A stem up to a height, drain rock up to a foot under it, finished grade under the existing ground and over it.
    fn of(case: &Case, top: f64) -> Self {
        let stem =
            |f: &FloorFt| FloorFt { toe: 0.0, width: Self::STEM, bof: f.tof, tof: top, ..*f };
        let drain = |f: &FloorFt| FloorFt {
            toe: -Self::STEM,
            width: Self::DRAIN,
            bof: f.tof,
            tof: f.tof.max(top - 1.0),
            ..*f
        };
        let lower = |(at, (s, z)): (usize, &(f64, f64))| (*s, z - [4.0, -1.0, 2.0][at % 3]);
        Self {
            stem: case.floors.iter().map(stem).collect(),
            drain: case.floors.iter().map(drain).collect(),
            finished: case.ground.iter().enumerate().map(lower).collect(),
        }
    }

    /// The parts of the dig by the grid, in cubic feet: earth side, low side.
    fn by_grid(&self, case: &Case, step: f64, choice: Banks) -> [[f64; 6]; 2] {
        let low = Case { ground: self.finished.clone(), ..case.clone() };
        let walls = case.walls();
        let plain = |blocks| case.around(blocks, [0.0; 2], Banks::EARTH_SIDE);
        let built = [plain(&case.floors), plain(&self.stem), plain(&self.drain)];
        let mut sums = [[0.0; 6]; 2];
        case.visit(step, choice, |p, cut, floor| {
            let near = case.nearest(p);
            for (wall, station) in &near {
                let share = step * step / near.len() as f64;
                let ground = case.height(*station);
                let earth = case.local(walls[*wall], p).1 > 0.0;
                let fill = if earth { ground } else { ground.min(low.height(*station)) };
                let terms = &mut sums[usize::from(!earth)];
                terms[0] += (ground - cut).max(0.0) * share;
                // Up the column in thin layers, each of one kind.
                let mut levels = vec![cut, ground, fill];
                let inside = |(f, [a, b, c, d], _): &&Around| {
                    let (s, t) = case.local(walls[f.wall], p);
                    floor && *a < s && s < *b && *c < t && t < *d
                };
                let here: Vec<Vec<FloorFt>> = built
                    .iter()
                    .map(|kind| kind.iter().filter(inside).map(|(f, _, _)| *f).collect())
                    .collect();
                levels.extend(here.iter().flatten().flat_map(|f| [f.bof, f.tof]));
                levels.sort_by(f64::total_cmp);
                for pair in levels.windows(2) {
                    let middle = f64::midpoint(pair[0], pair[1]);
                    if middle < cut || middle > ground {
                        continue;
                    }
                    let holds =
                        |kind: &Vec<FloorFt>| kind.iter().any(|f| f.bof < middle && middle < f.tof);
                    let kind =
                        here.iter().position(holds).unwrap_or(3 + usize::from(middle > fill));
                    terms[1 + kind] += (pair[1] - pair[0]) * share;
                }
            }
        });
        sums
    }

    /// The same by the engine.
    fn parts(&self, case: &Case, banks: Banks) -> ([DigParts; 2], f64) {
        let (chain, existing) = (case.chain().expect("a chain"), case.existing());
        let low = Case { ground: self.finished.clone(), ..case.clone() }.existing();
        let dig = case.dig(&chain, &existing);
        let dug = dig.solid(&[banks])[0].iter().sum::<f64>();
        let blocks = |list: &[FloorFt]| list.iter().map(floor).collect();
        let fill = Fill {
            dig,
            banks,
            footing: blocks(&case.floors),
            stem: blocks(&self.stem),
            drain: blocks(&self.drain),
            finished_low: &low,
        };
        let mut sums = [DigParts::default(); 2];
        for zones in fill.parts() {
            for (sum, part) in sums.iter_mut().zip(zones) {
                sum.dug += part.dug;
                sum.footing += part.footing;
                sum.stem += part.stem;
                sum.drain += part.drain;
                sum.backfill += part.backfill;
                sum.open += part.open;
            }
        }
        (sums, dug)
    }
}

/// What is dug is what stands in it, what is filled and what stays open, to a millionth of a cubic yard; the parts are each
/// worked out from their own solid, so that the sum says something.
fn balanced(parts: &[DigParts; 2], dug: f64) {
    let whole: f64 = parts.iter().map(|part| part.dug).sum();
    assert!((whole - dug).abs() / 27.0 < 1e-6, "{whole} of {dug}");
    for part in parts {
        assert!((part.sum() - part.dug).abs() / 27.0 < 1e-6, "{part:?}");
    }
}

#[test]
fn the_parts_of_a_dig_are_the_dig() {
    let cases = read_json("dig_cases.json");
    let step = 0.0625;
    let mut corners = 0;
    for json in cases["cases"].as_array().expect("cases") {
        let case = of_json(json);
        let id = json["id"].as_str().expect("an id");
        for (banks, top) in [(Banks::ALL, 112.0), (Banks::ENDS, 104.5)] {
            let built = Built::of(&case, top);
            let (parts, dug) = built.parts(&case, banks);
            balanced(&parts, dug);
            let grid = built.by_grid(&case, step, banks);
            for (part, grid) in parts.iter().zip(grid) {
                let own = [part.dug, part.footing, part.stem, part.drain, part.backfill, part.open];
                for (own, grid) in own.into_iter().zip(grid) {
                    // Two parts in ten thousand of the part, and of the whole where the part is small.
                    let bound = 2e-4 * grid.max(dug / 10.0);
                    assert!(
                        (own - grid).abs() < bound,
                        "{id}, {banks:?}: {parts:?}\n{grid:?} by grid, dug {dug}"
                    );
                }
            }
        }
        corners += usize::from(case.points.len() > 2);
    }
    assert!(corners >= 4, "both corners");
}

#[test]
fn random_digs_and_rings_are_balanced() {
    let mut numbers = Numbers(77);
    let mut rings = 0;
    for _ in 0..60 {
        let case = random(&mut numbers);
        rings += usize::from(case.closed);
        let highest = case.ground.iter().map(|(_, z)| *z).fold(f64::MIN, f64::max);
        let built = Built::of(&case, highest - 2.0 + numbers.between(0.0, 4.0, 0.5));
        for banks in CHOICES {
            let (parts, dug) = built.parts(&case, banks);
            balanced(&parts, dug);
        }
    }
    assert!(rings > 3, "{rings} rings");
}

/// Work space by side: over the section two feet behind the heel dig as much as one foot on each side; round corners and free
/// ends of the solid they do not.
#[test]
fn work_space_may_differ_by_side() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    let dug = |dig: &str, [both, toe, heel]: [&str; 3]| {
        let mut set = vec![("allowances.dig", dig), ("allowances.work_space", both)];
        set.extend([("allowances.work_space_toe", toe), ("allowances.work_space_heel", heel)]);
        set.retain(|(_, text)| !text.is_empty());
        crate::support::run_with(&demo, &set)
    };
    let even = dug("section", ["1 ft", "", ""]);
    let heel = dug("section", ["", "", "2 ft"]);
    assert_eq!(even.quantity("dig.bank"), heel.quantity("dig.bank"));
    assert_eq!(even.cost_nano(), heel.cost_nano());
    let toe = dug("section", ["2 ft", "", "0 ft"]);
    assert_eq!(toe.quantity("dig.bank"), heel.quantity("dig.bank"));
    let solid = |sides| dug("solid", sides).quantity("dig.bank");
    assert_eq!(solid(["1 ft", "", ""]), solid(["5 ft", "1 ft", "1 ft"]));
    assert!((solid(["1 ft", "", ""]) - solid(["", "", "2 ft"])).abs() > 0.1);
}
