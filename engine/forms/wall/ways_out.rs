//! Ways out of a shortage of forms: rent, other stacks, a pour in two.

use std::collections::BTreeMap;

use num_rational::BigRational;
use num_traits::Zero;

use super::fillers::{Filler, fillers};
use super::panels::{PanelRun, panel_runs};
use super::spec::{FormSpec, PourGroup};
use super::stacks::{Chosen, NoStacks, StackUse, Supply, counted, least_stacks};
use super::standing::{FormPart, FormStretch, YardLine, fixed_lines, whole_stretches, yard};
use crate::footing::{Layout, product};
use crate::measure::{Nm, times_whole};

crate::measure::choice! {
    /// A way out of a shortage of forms.
    pub enum WayKind, "way out" {
        /// What is short is rented.
        Rent = "rent",
        /// Panels of other heights stand in for those that are short.
        OtherStacks = "other stacks",
        /// Some stand in, others are rented, whichever costs less.
        Both = "other stacks and rent",
        /// The pour is broken in two, which stand one after the other.
        TwoPours = "two pours",
    }
}

/// What stands together on a way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PourPart {
    /// Stretches of the stem.
    pub stretches: Vec<FormStretch>,
    /// How their panels are stacked.
    pub stacks: Vec<StackUse>,
    /// Panels, fillers and corners that stand and that there are, by part.
    pub yard: Vec<YardLine>,
    /// What is rented: its part and how many.
    pub rented: Vec<(FormPart, i64)>,
    /// What is short and cannot be had.
    pub lacks: Vec<(FormPart, i64)>,
    /// Panels and ties beyond those of the fewest panels.
    pub extra_panels: i64,
    /// Rows of ties more, once for each width of a panel.
    pub extra_ties: i64,
    /// What all this costs more than the fewest panels would, were none short; nothing where a price is not known.
    pub cost: Option<BigRational>,
    /// Whether no choice of stacks costs less.
    pub proven: bool,
}

/// A way out of a shortage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WayOut {
    /// Index of the pour.
    pub pour: usize,
    /// Which it is.
    pub kind: WayKind,
    /// What stands together, one after the other; none where the yard has no such stacks.
    pub parts: Vec<PourPart>,
    /// Whether the search for stacks ended at its bounds without any.
    pub gave_up: bool,
    /// Where the pour is broken: index of the stem piece before the joint and chain station.
    pub joint: Option<(usize, Nm)>,
    /// Joints at which the pour could be broken.
    pub joints: usize,
    /// Whether a ring that is broken has a second joint, where its chain begins.
    pub second_joint: bool,
    /// Whether other pours stand on its days, which take their part of the yard first.
    pub shares: bool,
    /// Whether it has forms whose height no panels make up; they are in none of the ways.
    pub unformed: bool,
    /// What it costs more than the bid has; nothing where a price is not known or something is short still.
    pub cost: Option<BigRational>,
    /// Whether no other way out costs less.
    pub least: bool,
}

impl WayOut {
    /// Whether every choice in it is proven to be the least.
    pub fn proven(&self) -> bool {
        self.parts.iter().all(|part| part.proven)
    }

    /// Whether something is short still.
    pub fn lacks(&self) -> bool {
        self.parts.is_empty() || self.parts.iter().any(|part| !part.lacks.is_empty())
    }
}

/// The ways out of every pour that is short of panels, fillers or corners.
pub fn ways_out(layout: &Layout, spec: &FormSpec) -> Vec<WayOut> {
    let runs = panel_runs(layout, spec);
    let fillers = fillers(layout, spec);
    let pours = spec.pours.iter().enumerate();
    let of = |(at, pour): (usize, &PourGroup)| {
        let short = Short::of(layout, spec, &runs, &fillers, at);
        let stretches = whole_stretches(layout, &runs, &pour.walls);
        if short.part(&stretches, Allowed::Nothing).is_ok_and(|part| part.lacks.is_empty()) {
            return Vec::new();
        }
        short.ways(at, &stretches)
    };
    pours.flat_map(of).collect()
}

/// Widths of a panel by the height of their forms.
fn by_height(uses: &[StackUse]) -> BTreeMap<Nm, i64> {
    uses.iter().fold(BTreeMap::new(), |mut all, one| {
        *all.entry(one.height).or_default() += one.modules;
        all
    })
}

/// What may be done about a shortage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Allowed {
    Nothing,
    Rent,
    Stacks,
    Both,
}

/// A pour broken in two.
struct Broken {
    parts: Vec<PourPart>,
    joint: (usize, Nm),
    joints: usize,
    cost: Option<BigRational>,
}

/// A pour, and what there is for it.
struct Short<'a> {
    layout: &'a Layout,
    spec: &'a FormSpec,
    runs: &'a [PanelRun],
    fillers: &'a [Filler],
    /// What other pours take that stand on the same days.
    elsewhere: BTreeMap<FormPart, i64>,
    days: i64,
}

impl<'a> Short<'a> {
    fn of(
        layout: &'a Layout,
        spec: &'a FormSpec,
        runs: &'a [PanelRun],
        fillers: &'a [Filler],
        at: usize,
    ) -> Self {
        let pour = &spec.pours[at];
        let mut elsewhere: BTreeMap<FormPart, i64> = BTreeMap::new();
        if let Some((first, last)) = pour.days() {
            for day in first..=last {
                let stands = |other: &PourGroup| {
                    other.days().is_some_and(|(first, last)| (first..=last).contains(&day))
                };
                let others = spec.pours.iter().enumerate();
                let walls: Vec<usize> = others
                    .filter(|(other, group)| *other != at && stands(group))
                    .flat_map(|(_, group)| group.walls.iter().copied())
                    .collect();
                for line in yard(layout, spec, runs, fillers, &walls) {
                    let most = elsewhere.entry(line.part).or_default();
                    *most = line.needed.max(*most);
                }
            }
        }
        Self { layout, spec, runs, fillers, elsewhere, days: pour.standing }
    }

    fn there(&self, part: FormPart, owned: i64) -> i64 {
        (owned - self.elsewhere.get(&part).copied().unwrap_or(0)).max(0)
    }

    fn rent(&self, part: FormPart) -> Option<BigRational> {
        let rent = match part {
            FormPart::Panel(height) => self.spec.panel_of(height)?.rent.as_ref(),
            FormPart::Filler(width, _) => {
                let known = self.spec.fillers.iter().find(|filler| filler.width == width)?;
                known.rent.as_ref()
            }
            FormPart::CornerSet => self.spec.corner_rent.as_ref(),
            FormPart::Hardware(_) => None,
        };
        rent.map(|rent| times_whole(rent, self.days.into()))
    }

    /// What panels may be had for, the tallest first. Where setting one more has no price each counts as one, so that the
    /// fewest are found.
    fn supply(&self, rents: bool) -> Vec<Supply> {
        let prices = &self.spec.prices;
        let one = BigRational::from_integer(1.into());
        let panel = |panel: &super::PanelHeight| {
            let ties = prices.tie.as_ref().map(|tie| times_whole(tie, panel.ties.into()));
            // A tie goes through both faces.
            let tie = ties.unwrap_or_default() / BigRational::from_integer(2.into());
            let part = FormPart::Panel(panel.height);
            Supply {
                height: panel.height,
                there: self.there(part, panel.owned),
                each: prices.extra_panel.as_ref().unwrap_or(&one) + tie,
                more: self.rent(part).filter(|_| rents),
            }
        };
        self.spec.panels.iter().map(panel).collect()
    }

    /// The fewest panels of stretches.
    fn fewest(&self, stretches: &[FormStretch]) -> Vec<StackUse> {
        let mut uses: BTreeMap<(Nm, &[Nm]), i64> = BTreeMap::new();
        for stretch in stretches {
            let run = &self.runs[stretch.piece];
            if let Some(stack) = &run.stack {
                *uses.entry((run.height, stack)).or_default() += stretch.modules;
            }
        }
        let one = |((height, stack), modules): ((Nm, &[Nm]), i64)| StackUse {
            height,
            stack: stack.to_vec(),
            modules,
        };
        uses.into_iter().map(one).filter(|one| one.modules > 0).collect()
    }

    /// What stands of stretches, and what it takes.
    fn part(&self, stretches: &[FormStretch], allowed: Allowed) -> Result<PourPart, NoStacks> {
        let fewest = self.fewest(stretches);
        let wanted = by_height(&fewest);
        let rents = matches!(allowed, Allowed::Rent | Allowed::Both);
        let unlimited: Vec<Supply> =
            self.supply(false).into_iter().map(|one| Supply { there: i64::MAX, ..one }).collect();
        let base = counted(&wanted, &unlimited, fewest.clone(), true).ok_or(NoStacks::NotThere)?;
        let chosen = match allowed {
            // All of the fewest, whether they are there or not: what is short is told below.
            Allowed::Nothing | Allowed::Rent => base.clone(),
            Allowed::Stacks => least_stacks(&wanted, &self.supply(rents))?,
            Allowed::Both => least_stacks(&wanted, &self.supply(true))?,
        };
        Ok(self.told(stretches, &base, chosen, rents, allowed != Allowed::Nothing))
    }

    /// What is chosen with its fillers and corners.
    fn told(
        &self,
        stretches: &[FormStretch],
        base: &Chosen,
        chosen: Chosen,
        rents: bool,
        rents_others: bool,
    ) -> PourPart {
        let panels = self.spec.panels.iter().rev().filter_map(|panel| {
            let of = |stack: &StackUse| stack.panels(panel.height) * stack.modules;
            let needed = chosen.uses.iter().map(of).sum();
            let part = FormPart::Panel(panel.height);
            let owned = self.there(part, panel.owned);
            (needed > 0).then_some(YardLine { part, needed, owned })
        });
        let fixed = fixed_lines(self.layout, self.spec, self.fillers, stretches);
        let fixed = fixed
            .into_iter()
            .map(|line| YardLine { owned: self.there(line.part, line.owned), ..line });
        let yard: Vec<YardLine> = panels.chain(fixed).collect();
        let (mut rented, mut lacks) = (Vec::new(), Vec::new());
        let mut rent = BigRational::zero();
        for line in yard.iter().filter(|line| line.short() > 0) {
            let panel = matches!(line.part, FormPart::Panel(_));
            match self.rent(line.part).filter(|_| if panel { rents } else { rents_others }) {
                Some(price) => {
                    rent += times_whole(&price, line.short().into());
                    rented.push((line.part, line.short()));
                }
                None => lacks.push((line.part, line.short())),
            }
        }
        let count = |uses: &[StackUse], of: &dyn Fn(&StackUse) -> i64| -> i64 {
            uses.iter().map(|stack| of(stack) * stack.modules).sum()
        };
        let panels = |stack: &StackUse| i64::try_from(stack.stack.len() * 2).unwrap_or(0);
        let rows = |stack: &StackUse| self.spec.tie_rows(&stack.stack);
        let extra = |of: &dyn Fn(&StackUse) -> i64| count(&chosen.uses, of) - count(&base.uses, of);
        let (extra_panels, extra_ties) = (extra(&panels), extra(&rows));
        let prices = &self.spec.prices;
        let setting = |count: i64, price: &Option<BigRational>| match (count, price) {
            (0, _) => Some(BigRational::zero()),
            (_, price) => price.as_ref().map(|price| times_whole(price, count.into())),
        };
        let ties = setting(extra_ties, &prices.tie).unwrap_or_default();
        let cost = setting(extra_panels, &prices.extra_panel).map(|panels| panels + ties + rent);
        PourPart {
            stretches: stretches.to_vec(),
            stacks: chosen.uses,
            yard,
            rented,
            cost: cost.filter(|_| lacks.is_empty()),
            lacks,
            extra_panels,
            extra_ties,
            proven: chosen.proven,
        }
    }

    /// What the cheapest stacks cost more than the fewest panels, were none short: less than nothing where ties are saved.
    fn floor(&self, stretches: &[FormStretch]) -> Option<BigRational> {
        let fewest = self.fewest(stretches);
        let supply: Vec<Supply> =
            self.supply(false).into_iter().map(|one| Supply { there: i64::MAX, ..one }).collect();
        let wanted = by_height(&fewest);
        let base = counted(&wanted, &supply, fewest, true)?;
        Some(least_stacks(&wanted, &supply).ok()?.cost - base.cost)
    }

    /// Whether some forms have a height that no panels make up.
    fn unformed(&self, stretches: &[FormStretch]) -> bool {
        stretches.iter().any(|one| one.modules > 0 && self.runs[one.piece].stack.is_none())
    }

    fn ways(&self, pour: usize, stretches: &[FormStretch]) -> Vec<WayOut> {
        let (shares, unformed) = (!self.elsewhere.is_empty(), self.unformed(stretches));
        let whole = |kind, allowed| {
            let part = self.part(stretches, allowed);
            let gave_up = part == Err(NoStacks::GaveUp);
            let parts: Vec<PourPart> = part.into_iter().collect();
            let cost = parts.first().and_then(|part| part.cost.clone());
            WayOut {
                pour,
                kind,
                parts,
                gave_up,
                joint: None,
                joints: 0,
                second_joint: false,
                shares,
                unformed,
                cost,
                least: false,
            }
        };
        let mut ways =
            vec![whole(WayKind::Rent, Allowed::Rent), whole(WayKind::OtherStacks, Allowed::Stacks)];
        let both = whole(WayKind::Both, Allowed::Both);
        let less = |other: &WayOut| match (&both.cost, &other.cost) {
            (Some(both), Some(other)) => both < other,
            (both, _) => both.is_some(),
        };
        if ways.iter().all(less) {
            ways.push(both);
        }
        let unbroken = ways.iter().filter_map(|way| way.cost.clone()).min();
        ways.extend(self.two_pours(pour, stretches, unbroken));
        let least = ways.iter().filter_map(|way| way.cost.clone()).min();
        // The first of those that cost the least.
        if let Some(way) = ways.iter_mut().find(|way| least.is_some() && way.cost == least) {
            way.least = true;
        }
        ways
    }

    /// The pour broken in two. Where that costs less than every way that leaves it whole, at the joint where it costs least,
    /// whatever stands in or is rented; else at the cheapest joint where the fewest panels are there for both parts, if there
    /// is one.
    fn two_pours(
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
        let floor = self.floor(stretches).unwrap_or_default();
        for ([before, after], joint) in breaks {
            let joint_forms = self.joint_forms(joint, &after) + &ring;
            let more = self.spec.prices.pour_break.as_ref().map(|each| each + joint_forms);
            let found = best.as_ref().map(|best| best.cost.clone());
            let limit = found.unwrap_or_else(|| bound.clone());
            if limit.zip(more.as_ref()).is_some_and(|(limit, more)| limit <= more + &floor) {
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
            Some(_) => self.part(stretches, Allowed::Both).ok().or(rent),
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
        let height = stems[piece].height();
        if after.first().is_some_and(|next| next.piece > piece + 1) {
            return BigRational::zero();
        }
        let next = stems.get(piece + 1).filter(|next| next.from == station);
        let height = next.map_or(height, |next| next.height().max(height));
        let stem = self.layout.site.walls[stems[piece].wall].stem;
        let contact = self.spec.prices.contact.clone().unwrap_or_default();
        product(&[stem, height]) * contact
    }

    /// What the forms of the second joint cost that a closed ring has where all of it is one pour: where its chain begins.
    fn ring_joint_forms(&self, stretches: &[FormStretch]) -> BigRational {
        let last = self.layout.stems.len().saturating_sub(1);
        let holds = |piece: usize| stretches.iter().any(|stretch| stretch.piece == piece);
        if !self.layout.site.chain.closed() || !holds(0) || !holds(last) {
            return BigRational::zero();
        }
        let (first, end) = (&self.layout.stems[0], &self.layout.stems[last]);
        let stem = self.layout.site.walls[end.wall].stem;
        let contact = self.spec.prices.contact.clone().unwrap_or_default();
        product(&[stem, first.height().max(end.height())]) * contact
    }
}
