//! Curved walls: an exposed face on an arc, built as chords of whole panels.
//!
//! The corners of the chords lie on the arc of the exposed face. Beside a convex curve the earth face is the shorter one, and a
//! chord is made as long as its panels there; at a concave curve the exposed face is the shorter one. Sections end at the planes
//! that halve the turns, as at any bend.

use num_traits::ToPrimitive;

use super::chain::{Point, Side};
use crate::measure::{Nm, round};
use crate::problem::Problem;

/// An arc of the exposed face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Its radius.
    pub radius: Nm,
    /// To which side it turns, looking along the walls.
    pub to: Side,
    /// How far it turns, in radians.
    pub sweep: f64,
}

/// How an arc is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Division {
    /// Into chords of this length on the shorter face, from its start; the last one shorter.
    Length(Nm),
    /// Into so many equal chords.
    Equal(u32),
}

/// A curve of the plan and the walls of the chain that are its chords.
#[derive(Debug, Clone, PartialEq)]
pub struct CurvedWall {
    /// Its name in the plan.
    pub id: String,
    /// Its arc.
    pub arc: Arc,
    /// Indices of the walls that are its chords, the first and the one after the last.
    pub walls: (usize, usize),
}

impl CurvedWall {
    /// Whether a wall of the chain is one of its chords.
    pub fn holds(&self, wall: usize) -> bool {
        (self.walls.0..self.walls.1).contains(&wall)
    }
}

/// A chord of an arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chord {
    /// Its length on the exposed face.
    pub length: Nm,
    /// The angle that it spans, in radians.
    pub angle: f64,
}

/// Chords turn by less than this, so that every corner between them is a bend.
const MOST_DEGREES: f64 = 29.0;
/// More chords than this are no curve of a wall.
const MOST_CHORDS: f64 = 2_000.0;
/// What is added to a chord, so that its panels fit whatever is rounded.
const SLACK: f64 = 4.0;

#[expect(clippy::cast_precision_loss, reason = "an angle of whole lengths")]
fn number(length: Nm) -> f64 {
    length.0 as f64
}

#[expect(clippy::cast_possible_truncation, reason = "no longer than a wall may be")]
fn nearest(length: f64) -> Nm {
    Nm(round::nearest_f64(length) as i64)
}

impl Arc {
    /// The lesser arc between two points; none where they are farther apart than the circle is wide.
    pub fn between(from: Point, to: Point, radius: Nm, side: Side) -> Option<Self> {
        let half = number(from.apart(to)) / 2.0 / number(radius);
        (half <= 1.0).then(|| Self { radius, to: side, sweep: 2.0 * half.asin() })
    }

    /// Length of the arc.
    pub fn length(&self) -> Nm {
        nearest(number(self.radius) * self.sweep)
    }

    /// Length of the chord over an angle.
    fn over(&self, angle: f64) -> f64 {
        2.0 * number(self.radius) * (angle / 2.0).sin()
    }

    /// The greatest distance of a chord from the arc.
    pub fn off(&self, chord: Nm) -> Nm {
        let (r, half) = (number(self.radius), number(chord) / 2.0);
        nearest(r - (r * r - half * half).max(0.0).sqrt())
    }

    /// The chords, from the start; beside the earth on `earth`, with a stem of this thickness.
    ///
    /// # Errors
    /// The earth face of a convex curve would have no length, or chords turn too far, or there are too many.
    pub fn chords(&self, by: Division, stem: Nm, earth: Side) -> Result<Vec<Chord>, Problem> {
        let convex = self.to == earth;
        if convex && stem >= self.radius {
            return Err(Problem::error("the stem is as thick as the radius or thicker")
                .help("radius is that of the exposed face"));
        }
        let step = match by {
            Division::Equal(count) => self.sweep / f64::from(count.max(1)),
            Division::Length(length) => self.angle_of(number(length) + SLACK, stem, convex)?,
        };
        if step.to_degrees() > MOST_DEGREES && (self.sweep > step || by == Division::Equal(1)) {
            return Err(Problem::error(format!(
                "a chord would turn {:.1} degrees; {MOST_DEGREES} are taken at most",
                step.to_degrees()
            ))
            .help("make the chords shorter, or give more of them"));
        }
        if self.sweep / step > MOST_CHORDS {
            return Err(Problem::error(format!(
                "the curve would have more than {MOST_CHORDS} chords"
            ))
            .help("look at the unit of radius and chord"));
        }
        let mut angles: Vec<f64> = Vec::new();
        let mut rest = self.sweep;
        while rest >= step * (1.0 - 1e-9) {
            angles.push(step);
            rest -= step;
        }
        // A rest that is no longer than an inch is shared out among the others.
        if angles.is_empty() || self.over(rest.max(0.0)) > number(Nm::INCH) {
            angles.push(rest);
        } else {
            let more = rest * angles.len().to_f64().unwrap_or(1.0).recip();
            angles.iter_mut().for_each(|angle| *angle += more);
        }
        let chord = |angle: f64| Chord { length: nearest(self.over(angle)), angle };
        Ok(angles.into_iter().map(chord).collect())
    }

    /// The angle of a chord that is so long on the shorter face.
    fn angle_of(&self, length: f64, stem: Nm, convex: bool) -> Result<f64, Problem> {
        let (r, t) = (number(self.radius), if convex { number(stem) } else { 0.0 });
        let of = |half: f64| 2.0 * r * half.sin() - 2.0 * t * half.tan();
        // It grows with the angle up to where r cos^3 = t.
        let (mut low, mut high) = (0.0_f64, MOST_DEGREES.to_radians() / 2.0);
        if of(high) < length {
            return Err(Problem::error("chords of this length turn too far on this radius").help(
                "make the chords shorter: at most 29 degrees are taken from one to the next",
            ));
        }
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if of(middle) < length { low = middle } else { high = middle }
        }
        Ok(2.0 * high)
    }

    /// The points of the exposed face where its chords end, from a start along a bearing in degrees.
    pub fn points(&self, start: Point, bearing: f64, chords: &[Chord]) -> Vec<Point> {
        let sign = if self.to == Side::Left { -1.0 } else { 1.0 };
        let (mut at, mut turned) = (start, 0.0);
        let next = |chord: &Chord| {
            let along = bearing.to_radians() + sign * (turned + chord.angle / 2.0);
            let length = self.over(chord.angle);
            let (east, north) = along.sin_cos();
            at = Point { e: at.e + nearest(length * east), n: at.n + nearest(length * north) };
            turned += chord.angle;
            at
        };
        chords.iter().map(next).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc(radius: i64, degrees: f64) -> Arc {
        Arc { radius: Nm::FOOT * radius, to: Side::Left, sweep: degrees.to_radians() }
    }

    fn inches(length: Nm) -> f64 {
        number(length) / number(Nm::INCH)
    }

    /// Own computation from the circle: middle ordinate, arc less chord.
    #[test]
    fn chord_errors() {
        let rows = [(8, 50, 1.923), (8, 25, 3.865), (8, 100, 0.960), (4, 20, 1.203)];
        for (chord, radius, error) in rows {
            assert!((inches(arc(radius, 60.0).off(Nm::FOOT * chord)) - error).abs() < 5e-4);
        }
    }

    /// Own computation: six equal chords of 60 degrees on 40 ft.
    #[test]
    fn equal_chords() -> Result<(), Problem> {
        let arc = arc(40, 60.0);
        let chords = arc.chords(Division::Equal(6), Nm::FOOT, Side::Right)?;
        assert_eq!(chords.len(), 6);
        let sum: Nm = chords.iter().map(|chord| chord.length).sum();
        assert!((inches(chords[0].length) / 12.0 - 6.9725).abs() < 5e-5);
        assert!((inches(arc.length() - sum) / 12.0 - 0.0531).abs() < 1e-4);
        assert!((inches(arc.off(chords[0].length)) - 1.827).abs() < 5e-4);
        Ok(())
    }

    #[test]
    fn panels_fit_on_the_shorter_face() -> Result<(), Problem> {
        for (earth, convex) in [(Side::Left, true), (Side::Right, false)] {
            let chords = arc(50, 60.0).chords(Division::Length(Nm::FOOT * 8), Nm::FOOT, earth)?;
            let taken =
                if convex { 2.0 * number(Nm::FOOT) * (chords[0].angle / 2.0).tan() } else { 0.0 };
            let shorter = number(chords[0].length) - taken - number(Nm::FOOT * 8);
            assert!((0.0..100.0).contains(&shorter));
            let swept: f64 = chords.iter().map(|chord| chord.angle).sum();
            assert!((swept - 60_f64.to_radians()).abs() < 1e-12);
            assert!(chords.iter().rev().skip(1).all(|chord| chord.length == chords[0].length));
        }
        Ok(())
    }

    #[test]
    fn what_is_refused() {
        let short = arc(5, 90.0);
        assert!(short.chords(Division::Length(Nm::FOOT * 8), Nm::FOOT, Side::Left).is_err());
        assert!(short.chords(Division::Equal(2), Nm::FOOT, Side::Left).is_err());
        assert!(short.chords(Division::Equal(4), Nm::FOOT * 5, Side::Left).is_err());
        let far = Point { e: Nm::FOOT * 11, n: Nm::ZERO };
        let origin = Point { e: Nm::ZERO, n: Nm::ZERO };
        assert_eq!(Arc::between(origin, far, Nm::FOOT * 5, Side::Left), None);
    }
}
