//! A pour in two, which stand one after the other: at which joint that costs least.

use num_rational::BigRational;
use num_traits::Zero;

use super::stacks::NoStacks;
use super::standing::FormStretch;
use super::ways_out::{Allowed, PourPart, Short, WayKind, WayOut};
use crate::footing::product;
use crate::measure::Nm;

/// A pour broken in two.
struct Broken {
    parts: Vec<PourPart>,
    joint: (usize, Nm),
    joints: usize,
    cost: Option<BigRational>,
}

impl Short<'_> {
    /// The pour broken in two. Where that costs less than every way that leaves it whole, at the joint where it costs least,
    /// whatever stands in or is rented; else at the cheapest joint where the fewest panels are there for both parts, if there
    /// is one.
    pub(super) fn two_pours(
        &self,
        pour: usize,
        stretches: &[FormStretch],
        unbroken: Option<BigRational>,
    ) -> Option<WayOut> {
        let way = |best: Option<Broken>| {
            best.map(|Broken { parts, joint, joints, cost }| WayOut {
                pour,
                kind: WayKind::TwoPours,
                parts,
                gave_up: false,
                joint: Some(joint),
                joints,
                second_joint: !self.ring_joint_forms(stretches).is_zero(),
                shares: !self.elsewhere.is_empty(),
                unformed: self.unformed(stretches),
                cost,
                least: false,
            })
        };
        let nothing_more = |part: &[FormStretch]| {
            self.part(part, Allowed::Nothing).ok().filter(|part| part.lacks.is_empty())
        };
        let plain = self.best_break(stretches, None, &nothing_more);
        let plain_cost = plain.as_ref().and_then(|plain| plain.cost.clone());
        let bound = [unbroken, plain_cost].into_iter().flatten().min();
        let best = |bound| self.best_break(stretches, bound, &|part| self.least_part(part));
        way(match (plain, bound) {
            (None, _) => best(None),
            (Some(plain), None) => Some(plain),
            (plain, bound) => best(bound).or(plain),
        })
    }

    /// The break that costs least, less than a bound if there is one; of those that lack something or have no price the first.
    fn best_break(
        &self,
        stretches: &[FormStretch],
        bound: Option<BigRational>,
        stands: &dyn Fn(&[FormStretch]) -> Option<PourPart>,
    ) -> Option<Broken> {
        let mut best: Option<Broken> = None;
        let breaks = self.breaks(stretches);
        let joints = breaks.len();
        let ring = self.ring_joint_forms(stretches);
        // A part costs this much at least, and both together what the whole does.
        let floor = self.floor(stretches);
        for ([before, after], joint) in breaks {
            let joint_forms = self.joint_forms(joint, &after) + &ring;
            let more = self.spec.prices.pour_break.as_ref().map(|each| each + joint_forms);
            let found = best.as_ref().map(|best| best.cost.clone());
            let limit = found.unwrap_or_else(|| bound.clone());
            let least = more.as_ref().zip(floor.as_ref()).map(|(more, floor)| more + floor);
            if limit.zip(least).is_some_and(|(limit, least)| limit <= least) {
                continue;
            }
            let parts: Option<Vec<PourPart>> =
                [&before, &after].map(|part| stands(part)).into_iter().collect();
            let Some(parts) = parts else { continue };
            let costs: Option<Vec<BigRational>> =
                parts.iter().map(|part| part.cost.clone()).collect();
            let cost =
                costs.zip(more).map(|(parts, more)| parts.into_iter().sum::<BigRational>() + more);
            if bound.is_some() && (cost.is_none() || cost >= bound) {
                continue;
            }
            let way = Broken { parts, joint, joints, cost };
            let key = |way: &Broken| {
                let lacks = way.parts.iter().any(|part| !part.lacks.is_empty());
                (lacks, way.cost.is_none(), way.cost.clone())
            };
            if best.as_ref().is_none_or(|best| key(&way) < key(best)) {
                best = Some(way);
            }
        }
        best
    }

    /// The stacks and the rent of stretches that cost the least; without a price for another panel the fewest panels.
    fn least_part(&self, stretches: &[FormStretch]) -> Option<PourPart> {
        let rent = self.part(stretches, Allowed::Rent).ok();
        match self.spec.prices.extra_panel {
            // Rent alone is no proof of anything where the search for stacks gave up.
            Some(_) => match self.part(stretches, Allowed::Both) {
                Ok(part) => Some(part),
                Err(NoStacks::NotThere) => rent,
                Err(NoStacks::GaveUp) => rent.map(|rent| PourPart { proven: false, ..rent }),
            },
            None => rent,
        }
    }

    /// Every way to break stretches in two at a joint of the panels, with the piece before the joint and its station.
    fn breaks(&self, stretches: &[FormStretch]) -> Vec<([Vec<FormStretch>; 2], (usize, Nm))> {
        let mut breaks = Vec::new();
        for (at, stretch) in stretches.iter().enumerate() {
            let piece = &self.layout.stems[stretch.piece];
            let joints = super::panels::joints_of(self.layout, piece);
            for modules in 1..=stretch.modules {
                let whole = modules == stretch.modules;
                if whole && at + 1 == stretches.len() {
                    continue;
                }
                let first = FormStretch { modules, ends: stretch.ends && whole, ..*stretch };
                let mut before = stretches[..at].to_vec();
                before.push(first);
                let mut after = stretches[at + 1..].to_vec();
                if !whole {
                    let rest = stretch.modules - modules;
                    after.insert(0, FormStretch { modules: rest, starts: false, ..*stretch });
                }
                let inner = usize::try_from(modules).ok().and_then(|at| joints.get(at));
                let station = if whole { piece.to } else { inner.copied().unwrap_or(piece.to) };
                breaks.push(([before, after], (stretch.piece, station)));
            }
        }
        breaks
    }

    /// What the forms of the joint cost: the stem's thickness by the taller of the two heights that meet there. Where the walls
    /// of the pour do not touch there is no joint.
    fn joint_forms(&self, (piece, station): (usize, Nm), after: &[FormStretch]) -> BigRational {
        let stems = &self.layout.stems;
        let piece_here = &stems[piece];
        let over = piece_here.top.part((piece_here.from, piece_here.to), station, station);
        let height = over.over(piece_here.tof)[0];
        if after.first().is_some_and(|next| next.piece > piece + 1) {
            return BigRational::zero();
        }
        let next = stems.get(piece + 1).filter(|next| next.from == station);
        let height = next.map_or(height, |next| next.ends()[0].max(height));
        let stem = self.layout.site.walls[stems[piece].wall].stem;
        let contact = self.spec.prices.contact.clone().unwrap_or_default();
        product(&[stem, height]) * contact
    }

    /// What the forms of the second joint cost that a closed ring has where all of it is one pour: where its stations begin.
    fn ring_joint_forms(&self, stretches: &[FormStretch]) -> BigRational {
        let last = self.layout.stems.len().saturating_sub(1);
        let holds = |piece: usize| stretches.iter().any(|stretch| stretch.piece == piece);
        if !self.layout.site.chain.closed() || !holds(0) || !holds(last) {
            return BigRational::zero();
        }
        let (first, end) = (&self.layout.stems[0], &self.layout.stems[last]);
        let stem = self.layout.site.walls[end.wall].stem;
        let contact = self.spec.prices.contact.clone().unwrap_or_default();
        product(&[stem, first.ends()[0].max(end.ends()[1])]) * contact
    }
}
