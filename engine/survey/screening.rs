//! Screening: which shots are used for which line, and why the others are not.

use super::{Chain, GroundKind, Point, Projection, Reason, Refused, Shot, Spot};
use crate::measure::Nm;

/// Rules of screening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screening {
    /// Codes of the lines; a line may have several.
    pub codes: Vec<(GroundKind, String)>,
    /// Farthest that a shot may be from the wall.
    pub reach: Nm,
    /// Codes that are tested for height among their neighbours.
    pub outlier_codes: Vec<String>,
    /// Largest difference from the median of the neighbours.
    pub outlier_limit: Nm,
    /// Number of neighbours.
    pub outlier_neighbours: usize,
    /// Largest difference in N and in E of two shots of one name that are the same.
    pub duplicate_xy: Nm,
    /// Largest difference in height of two shots of one name that are the same.
    pub duplicate_z: Nm,
}

/// A shot that is used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Used {
    /// The shot.
    pub shot: Shot,
    /// The line that it serves.
    pub kind: GroundKind,
    /// Where it stands beside the chain.
    pub at: Projection,
}

/// The result of screening.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Screened {
    /// Shots that are used, in file order.
    pub used: Vec<Used>,
    /// Shots that are not, in file order.
    pub refused: Vec<Refused>,
}

/// Finds duplicates: shots of one name, in file order; gives those kept and those refused. Shots without a name are never
/// duplicates; a name may stand in two lists for two points, and the same point in two lists counts once. `alike` says
/// whether two codes mean the same.
pub fn duplicates(
    shots: &[Shot],
    xy: Nm,
    z: Nm,
    alike: impl Fn(&str, &str) -> bool,
) -> (Vec<&Shot>, Vec<Refused>) {
    let mut groups: std::collections::BTreeMap<&str, Vec<usize>> =
        std::collections::BTreeMap::new();
    for (index, shot) in shots.iter().enumerate() {
        if !shot.id.is_empty() {
            groups.entry(&shot.id).or_default().push(index);
        }
    }
    let mut reasons: Vec<Option<Reason>> = vec![None; shots.len()];
    let same = |one: &Shot, other: &Shot| {
        near(&other.place, &one.place, xy)
            && (other.z - one.z).abs() <= z
            && alike(&other.code, &one.code)
    };
    for members in groups.values().filter(|members| members.len() > 1) {
        let mut earlier: Vec<usize> = Vec::new();
        for list in members.chunk_by(|a, b| shots[*a].list == shots[*b].list) {
            let first = &shots[list[0]];
            if !list.iter().all(|index| same(first, &shots[*index])) {
                list.iter().for_each(|index| reasons[*index] = Some(Reason::DuplicateConflict));
                continue;
            }
            let before = earlier.iter().find(|index| same(&shots[**index], first));
            let kept = before.map_or(first, |index| &shots[*index]);
            for index in list.iter().skip(usize::from(before.is_none())) {
                reasons[*index] = Some(Reason::Duplicate(shots[*index].z - kept.z));
            }
            if before.is_none() {
                earlier.push(list[0]);
            }
        }
    }
    let mut kept = Vec::new();
    let mut refused = Vec::new();
    for (shot, reason) in shots.iter().zip(reasons) {
        match reason {
            None => kept.push(shot),
            Some(reason) => refused.push(refuse(shot, reason)),
        }
    }
    (kept, refused)
}

fn refuse(shot: &Shot, reason: Reason) -> Refused {
    Refused {
        list: shot.list,
        line: shot.line,
        id: shot.id.clone(),
        code: shot.code.clone(),
        reason,
    }
}

/// Whether two shots are at one place, within a tolerance in each direction.
fn near(a: &Spot, b: &Spot, tolerance: Nm) -> bool {
    let close = |x: Nm, y: Nm| (x - y).abs() <= tolerance;
    match (a, b) {
        (Spot::Plane(a), Spot::Plane(b)) => close(a.e, b.e) && close(a.n, b.n),
        (
            Spot::Along { wall, station, offset },
            Spot::Along { wall: other, station: s, offset: o },
        ) => wall == other && close(*station, *s) && close(*offset, *o),
        _ => false,
    }
}

/// Where a shot stands beside the chain.
///
/// # Errors
/// Its station is on no wall.
pub fn place(spot: &Spot, chain: &Chain, reach: Nm) -> Result<Projection, Reason> {
    let (wall, station, offset) = match spot {
        Spot::Plane(point) => return Ok(chain.project(*point, reach)),
        Spot::Along { wall, station, offset } => (wall, *station, *offset),
    };
    let long = |name: &str, length: Nm| {
        Reason::OffTheWall(format!(
            "station {} is outside {name}, which is {} long",
            chain.tape(station, 16),
            chain.tape(length, 16)
        ))
    };
    let within = offset.abs() <= reach;
    let Some(id) = wall else {
        if station < Nm::ZERO || station > chain.length() {
            return Err(long("the line of walls", chain.length()));
        }
        return Ok(Projection { wall: chain.wall_at(station), station, offset, within });
    };
    let index = chain.walls().iter().position(|line| line.id == *id).or_else(|| {
        // "Wall 2" in a list is wall "2" of the job, and the other way round.
        let same = |line: &&super::WallLine| bare_name(&line.id) == bare_name(id);
        let mut found = chain.walls().iter().filter(same);
        let first = found.next().filter(|_| found.next().is_none())?;
        chain.walls().iter().position(|line| line.id == first.id)
    });
    let Some(index) = index else {
        return Err(Reason::OffTheWall(format!("there is no wall {id}")));
    };
    let line = &chain.walls()[index];
    if station < Nm::ZERO || station > line.length {
        return Err(long(&format!("wall {id}"), line.length));
    }
    Ok(Projection { wall: index, station: line.station + station, offset, within })
}

/// A wall's name without the word before it, in small letters.
fn bare_name(name: &str) -> String {
    let name = name.trim().to_lowercase();
    let bare = ["wall", "section", "transect"].iter().find_map(|word| name.strip_prefix(word));
    bare.filter(|bare| !bare.trim().is_empty()).unwrap_or(&name).trim().to_owned()
}

/// Screens shots against the chain: duplicates, reach, outliers, in that order.
pub fn screen(shots: &[Shot], chain: &Chain, rules: &Screening) -> Screened {
    let line =
        |code: &str| rules.codes.iter().find(|(_, known)| known == code).map(|(kind, _)| *kind);
    let alike =
        |one: &str, other: &str| one == other || line(one).is_some() && line(one) == line(other);
    let (kept, mut refused) = duplicates(shots, rules.duplicate_xy, rules.duplicate_z, alike);
    let mut near: Vec<Used> = Vec::new();
    for shot in kept {
        let at = match place(&shot.place, chain, rules.reach) {
            Ok(at) => at,
            Err(reason) => {
                refused.push(refuse(shot, reason));
                continue;
            }
        };
        let kind = rules.codes.iter().find(|(_, code)| *code == shot.code).map(|(kind, _)| *kind);
        match kind {
            Some(kind) if at.within => near.push(Used { shot: shot.clone(), kind, at }),
            Some(_) => {
                let hint = match shot.place {
                    Spot::Plane(Point { e, n }) => {
                        chain.project(Point { e: n, n: e }, rules.reach).within
                    }
                    Spot::Along { .. } => false,
                };
                refused.push(refuse(shot, Reason::OutOfReach(at.offset, hint)));
            }
            None => refused.push(refuse(shot, Reason::CodeNotUsed)),
        }
    }
    let mut used = Vec::new();
    for shot in outliers(near, rules, chain.ring()) {
        match shot {
            Ok(shot) => used.push(shot),
            Err(reason) => refused.push(reason),
        }
    }
    refused.sort_by_key(|row| (row.list, row.line));
    Screened { used, refused }
}

/// Tests each shot of the listed codes against the median of its neighbours; one pass, no cascade.
fn outliers(near: Vec<Used>, rules: &Screening, ring: Option<Nm>) -> Vec<Result<Used, Refused>> {
    let mut pools: std::collections::BTreeMap<String, Vec<(Nm, Nm, usize)>> =
        std::collections::BTreeMap::new();
    for (index, used) in near.iter().enumerate() {
        if rules.outlier_codes.contains(&used.shot.code) {
            let pool = pools.entry(used.shot.code.clone()).or_default();
            pool.push((used.at.station, used.shot.z, index));
        }
    }
    pools.values_mut().for_each(|pool| pool.sort_unstable());
    near.into_iter()
        .enumerate()
        .map(|(index, used)| {
            let Some(pool) = pools.get(&used.shot.code) else { return Ok(used) };
            let heights = match ring {
                Some(perimeter) => {
                    nearest_on_ring(pool, index, &used, rules.outlier_neighbours, perimeter)
                }
                None => nearest(pool, index, &used, rules.outlier_neighbours),
            };
            let Some(twice) = twice_median(heights) else { return Ok(used) };
            let twice_off = 2 * used.shot.z.0 - twice;
            if twice_off.abs() > 2 * rules.outlier_limit.0 {
                let slope = on_the_slope(pool, &used, rules.outlier_limit);
                Err(refuse(&used.shot, Reason::Outlier(Nm(twice_off / 2), slope)))
            } else {
                Ok(used)
            }
        })
        .collect()
}

/// Whether a shot lies within the limit of the line through the shots on both sides of it, or at an end through the two
/// nearest: then the ground slopes, and the shot need not be wrong.
fn on_the_slope(pool: &[(Nm, Nm, usize)], used: &Used, limit: Nm) -> bool {
    let here = used.at.station;
    let before = |station: Nm| pool[..pool.partition_point(|(s, ..)| *s < station)].last();
    let after = |station: Nm| pool.get(pool.partition_point(|(s, ..)| *s <= station));
    let pair = match (before(here), after(here)) {
        (Some(a), Some(b)) => Some((a, b)),
        (Some(b), None) => before(b.0).map(|a| (a, b)),
        (None, Some(a)) => after(a.0).map(|b| (a, b)),
        (None, None) => None,
    };
    let Some((a, b)) = pair else { return false };
    let (run, rise) = ((b.0 - a.0).wide(), (b.1 - a.1).wide());
    let line = a.1.wide() + rise * (here - a.0).wide() / run;
    (used.shot.z.wide() - line).abs() <= limit.wide()
}

/// Twice the median, or nothing of nothing.
fn twice_median(mut heights: Vec<i64>) -> Option<i64> {
    heights.sort_unstable();
    match heights.len() {
        0 => None,
        n if n % 2 == 1 => Some(2 * heights[n / 2]),
        n => Some(heights[n / 2 - 1] + heights[n / 2]),
    }
}

/// Heights of the nearest neighbours on a ring, measured the short way round.
fn nearest_on_ring(
    pool: &[(Nm, Nm, usize)],
    index: usize,
    used: &Used,
    count: usize,
    perimeter: Nm,
) -> Vec<i64> {
    let others = pool.iter().filter(|(_, _, other)| *other != index);
    let mut near: Vec<(i64, i64)> = others
        .map(|(s, z, _)| {
            let apart = (*s - used.at.station).abs();
            (apart.min(perimeter - apart).0, z.0)
        })
        .collect();
    near.sort_unstable();
    near.into_iter().take(count).map(|(_, z)| z).collect()
}

/// Heights of the nearest neighbours along the walls; of equal distances the lower come first.
fn nearest(pool: &[(Nm, Nm, usize)], index: usize, used: &Used, count: usize) -> Vec<i64> {
    let here = used.at.station;
    let first = |station: Nm| pool.partition_point(|(s, ..)| *s < station);
    let beyond = |station: Nm| pool.partition_point(|(s, ..)| *s <= station);
    let mut near: Vec<(i64, i64)> = Vec::new();
    // Shots at one station stand by height: its lowest are all that can be among the nearest.
    let mut take = |distance: Nm, from: usize, to: usize| {
        let others = pool[from..to].iter().filter(|(_, _, other)| *other != index);
        near.extend(others.take(count).map(|(_, z, _)| (distance.0, z.0)));
        near.len()
    };
    let (mut low, mut high) = (first(here), beyond(here));
    let mut rim = (take(Nm::ZERO, low, high) >= count).then_some(Nm::ZERO);
    loop {
        let below = low.checked_sub(1).map(|at| here - pool[at].0);
        let above = pool.get(high).map(|(s, ..)| *s - here);
        let (distance, take_low) = match (below, above) {
            (None, None) => break,
            (Some(b), Some(a)) if b <= a => (b, true),
            (Some(b), None) => (b, true),
            (_, Some(a)) => (a, false),
        };
        // Both sides of the rim come along.
        if rim.is_some_and(|rim| distance > rim) {
            break;
        }
        let found = if take_low {
            let from = first(here - distance);
            let to = std::mem::replace(&mut low, from);
            take(distance, from, to)
        } else {
            let to = beyond(here + distance);
            let from = std::mem::replace(&mut high, to);
            take(distance, from, to)
        };
        if found >= count {
            rim = rim.or(Some(distance));
        }
    }
    near.sort_unstable();
    near.into_iter().take(count).map(|(_, z)| z).collect()
}
