//! Ways out of a shortage of forms: rent, other stacks, a pour in two.

use std::collections::BTreeMap;

use num_rational::BigRational;
use num_traits::Zero;

use super::fillers::{Filler, fillers};
use super::panels::{PanelRun, panel_runs};
use super::spec::{FormSpec, PourGroup};
use super::stacks::{Chosen, NoStacks, StackUse, Supply, counted, least_stacks};
use super::standing::{FormPart, FormStretch, YardLine, fixed_lines, whole_stretches, yard};
use crate::footing::Layout;
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
    /// What all this costs more than the fewest panels would, were none short, ties where they have a price; nothing where
    /// another price is not known.
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
    /// Where the pour is broken: index of the stem piece before the joint and running station.
    pub joint: Option<(usize, Nm)>,
    /// Joints at which the pour could be broken.
    pub joints: usize,
    /// Whether a ring that is broken has a second joint, where its stations begin.
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
pub(super) enum Allowed {
    Nothing,
    Rent,
    Stacks,
    Both,
}

/// A pour, and what there is for it.
pub(super) struct Short<'a> {
    pub(super) layout: &'a Layout,
    pub(super) spec: &'a FormSpec,
    runs: &'a [PanelRun],
    fillers: &'a [Filler],
    /// What other pours take that stand on the same days.
    pub(super) elsewhere: BTreeMap<FormPart, i64>,
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
            FormPart::CornerSet | FormPart::HingedSet => self.spec.corner_rent.as_ref(),
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

    /// The same, were there as many as anybody wants.
    fn unlimited(&self) -> Vec<Supply> {
        self.supply(false).into_iter().map(|one| Supply { there: i64::MAX, ..one }).collect()
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
    pub(super) fn part(
        &self,
        stretches: &[FormStretch],
        allowed: Allowed,
    ) -> Result<PourPart, NoStacks> {
        let fewest = self.fewest(stretches);
        let wanted = by_height(&fewest);
        let rents = matches!(allowed, Allowed::Rent | Allowed::Both);
        let base = counted(&wanted, &self.unlimited(), fewest, true).ok_or(NoStacks::NotThere)?;
        let chosen = match allowed {
            // All of the fewest, whether they are there or not: what is short is told below.
            Allowed::Nothing | Allowed::Rent => base.clone(),
            Allowed::Stacks | Allowed::Both => least_stacks(&wanted, &self.supply(rents))?,
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
    /// Nothing where that is not proven.
    pub(super) fn floor(&self, stretches: &[FormStretch]) -> Option<BigRational> {
        let fewest = self.fewest(stretches);
        let (supply, wanted) = (self.unlimited(), by_height(&fewest));
        let base = counted(&wanted, &supply, fewest, true)?;
        let least = least_stacks(&wanted, &supply).ok().filter(|least| least.proven)?;
        Some(least.cost - base.cost)
    }

    /// Whether some forms have a height that no panels make up.
    pub(super) fn unformed(&self, stretches: &[FormStretch]) -> bool {
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
}
