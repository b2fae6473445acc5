//! From the estimate of the length error to a change of the offset.

use super::EvidenceError;
use super::length_tables::LengthTables;
use super::posterior::LengthPosterior;
use crate::numeric::{finite, not_negative};

/// Changes are made in steps of this, inches.
pub const STEP_INCH: f64 = 0.125;
/// Largest change that is considered, in steps.
const REACH_STEPS: i32 = 6;
/// Costs that differ by less than this share are the same: rounding, not evidence.
const SAME_COST: f64 = 1e-9;

/// What misfits cost, in any unit of money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MisfitCosts {
    /// A reported string that was too short.
    pub too_short: f64,
    /// A reported string that was too long.
    pub too_long: f64,
    /// One remake, the unit in which a saving must be worth the trouble.
    pub remake: f64,
}

impl Default for MisfitCosts {
    /// All alike: misfits are counted.
    fn default() -> Self {
        Self { too_short: 1.0, too_long: 1.0, remake: 1.0 }
    }
}

/// When a change is advised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdviceRule {
    /// Least chance that the change lowers the cost.
    pub chance: f64,
    /// The same where the change saves much.
    pub chance_where_much: f64,
    /// What is much, in remakes a year.
    pub much_remakes: f64,
    /// Least saving a year, in remakes.
    pub saving_remakes: f64,
    /// Least number of reports with a direction.
    pub reports: u32,
    /// The smallest change whose cost is within this share of the best is taken.
    pub near_best: f64,
    /// After a change nothing is advised before the first strings under it are this old.
    pub hold_days: u32,
}

impl Default for AdviceRule {
    /// Set by simulation: with these a whole shop in which nothing is wrong gets at most one false
    /// advice in four years (`docs/methods-evidence.md`).
    fn default() -> Self {
        Self {
            chance: 0.70,
            chance_where_much: 0.60,
            much_remakes: 10.0,
            saving_remakes: 2.0,
            reports: 4,
            near_best: 0.05,
            hold_days: 60,
        }
    }
}

/// What the advice needs to know of a route and bow kind beside the estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitFacts {
    /// Strings sold in a year.
    pub strings_a_year: f64,
    /// Reports with a direction: right length known, too short or too long.
    pub reports_with_direction: u32,
    /// Age in days of the oldest string cut by the present offset; `None` if the offset has never
    /// been changed, 0 if none has been delivered yet.
    pub days_under_changed_offset: Option<u32>,
}

/// One change and what it would lead to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangeOutlook {
    /// Added to ordered lengths, in steps of 1/8 in.
    pub steps: i32,
    /// Added to ordered lengths, inches.
    pub change_inch: f64,
    /// Expected cost per string.
    pub cost: f64,
    /// Share of strings beyond the play.
    pub misfit_share: f64,
    /// Chance that it costs less than no change.
    pub chance_better: f64,
}

/// Why a change is not advised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reservation {
    /// No change is as good as any.
    NothingBetter,
    /// The chance that it helps is too small.
    NotSureEnough,
    /// It would save too little.
    SavesTooLittle,
    /// Too few reports say in which direction.
    TooFewReports,
    /// The last change is too fresh to be judged.
    LastChangeTooFresh,
}

/// The outlook of every change and the one to make, if any.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// All changes from -3/4 to +3/4 in, smallest first.
    pub outlooks: Vec<ChangeOutlook>,
    /// The change of least cost.
    pub cheapest: ChangeOutlook,
    /// The smallest change whose cost is near the least one.
    pub suggested: ChangeOutlook,
    /// What it would save in a year, in the unit of the costs.
    pub saving_a_year: f64,
    /// What speaks against it; empty when it is advised.
    pub reservations: Vec<Reservation>,
}

impl Advice {
    /// The change to make, inches added to ordered lengths; `None` when none is advised.
    #[must_use]
    pub fn advised_change_inch(&self) -> Option<f64> {
        self.reservations.is_empty().then_some(self.suggested.change_inch)
    }
}

/// Expected cost of every change in eighths, and whether the best is worth making.
///
/// What: C(delta) = q (c_s P(e - delta > U) + c_l P(e - delta < -L)), averaged over the posterior;
/// of the changes within 5 % of the least cost the smallest; advised if it lowers the cost with a
/// chance of 0.70 (0.60 where it saves ten remakes a year), saves two remakes a year, rests on 4 reports with a direction and is not 0 (E20).
/// Symbols: delta in inches added to ordered lengths, q told share, c costs per misfit, U and L the
/// play. Assumptions: those of the posterior; a change moves every string alike. Valid range:
/// changes up to 3/4 in. Source: expected loss, any text on decisions; conditions checked by
/// simulation.
///
/// # Errors
/// When a cost, the strings a year or a setting is not finite or below zero.
pub fn advise(
    posterior: &LengthPosterior,
    tables: &LengthTables,
    costs: &MisfitCosts,
    facts: &UnitFacts,
    rule: &AdviceRule,
) -> Result<Advice, EvidenceError> {
    not_negative("cost of a string too short", costs.too_short)?;
    not_negative("cost of a string too long", costs.too_long)?;
    not_negative("cost of a remake", costs.remake)?;
    not_negative("strings a year", facts.strings_a_year)?;
    not_negative("nearness to the best", rule.near_best)?;
    let outlooks: Vec<ChangeOutlook> =
        (-REACH_STEPS..=REACH_STEPS).map(|steps| outlook(posterior, tables, costs, steps)).collect();
    let none = outlook(posterior, tables, costs, 0);
    let cheapest =
        outlooks.iter().fold(none, |best, o| if clearly_less(o.cost, best.cost) { *o } else { best });
    let suggested = smallest_near(&outlooks, cheapest.cost * (1.0 + rule.near_best), none);
    let saving_a_year = finite("saving a year", (none.cost - suggested.cost) * facts.strings_a_year)?;
    let changes = suggested.steps != 0;
    let much = saving_a_year >= rule.much_remakes * costs.remake;
    let chance_needed = if much { rule.chance_where_much } else { rule.chance };
    let conditions = [
        (!changes, Reservation::NothingBetter),
        // Of no change it makes no sense to say that it is unsure or saves little.
        (changes && suggested.chance_better < chance_needed, Reservation::NotSureEnough),
        (changes && saving_a_year < rule.saving_remakes * costs.remake, Reservation::SavesTooLittle),
        (facts.reports_with_direction < rule.reports, Reservation::TooFewReports),
        (
            facts.days_under_changed_offset.is_some_and(|days| days < rule.hold_days),
            Reservation::LastChangeTooFresh,
        ),
    ];
    Ok(Advice {
        outlooks,
        cheapest,
        suggested,
        saving_a_year,
        reservations: conditions
            .into_iter()
            .filter_map(|(holds, reservation)| holds.then_some(reservation))
            .collect(),
    })
}

fn outlook(
    posterior: &LengthPosterior,
    tables: &LengthTables,
    costs: &MisfitCosts,
    steps: i32,
) -> ChangeOutlook {
    let change_inch = f64::from(steps) * STEP_INCH;
    let (mut cost, mut misfit_share, mut chance_better) = (0.0, 0.0, 0.0);
    for (spread, weights) in posterior.weights.chunks_exact(tables.grid.means()).enumerate() {
        let now = tables.beyond(spread, 0.0);
        for ((weight, then), now) in weights.iter().zip(tables.beyond(spread, change_inch)).zip(now) {
            let costs_of = |(short, long): (f64, f64)| costs.too_short * short + costs.too_long * long;
            cost += weight * costs_of(then);
            misfit_share += weight * (then.0 + then.1);
            if clearly_less(costs_of(then), costs_of(now)) {
                chance_better += weight;
            }
        }
    }
    let cost = cost * tables.model.told_share;
    ChangeOutlook { steps, change_inch, cost, misfit_share, chance_better: chance_better.min(1.0) }
}

fn clearly_less(a: f64, b: f64) -> bool {
    a < b * (1.0 - SAME_COST)
}

/// The smallest change at or under a cost. Where plus and minus are equally small and equally
/// cheap there is no direction to advise, and it is none.
fn smallest_near(outlooks: &[ChangeOutlook], limit: f64, none: ChangeOutlook) -> ChangeOutlook {
    for size in 0..=REACH_STEPS {
        let mut near =
            outlooks.iter().filter(|o| o.steps.abs() == size && o.cost <= limit * (1.0 + SAME_COST));
        match (near.next(), near.next()) {
            (Some(only), None) => return *only,
            (Some(minus), Some(plus)) if clearly_less(minus.cost, plus.cost) => return *minus,
            (Some(minus), Some(plus)) if clearly_less(plus.cost, minus.cost) => return *plus,
            (Some(_), Some(_)) => return none,
            (None, _) => {}
        }
    }
    none
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::length_error::{LengthModel, Play};
    use crate::evidence::length_tables::LengthGrid;

    /// Play of half an inch either way, on a grid of which every spread is given.
    fn tables(spread: f64) -> LengthTables {
        let grid = LengthGrid {
            mean_steps: 80,
            step_64ths: 1,
            spread_low_inch: spread,
            spread_high_inch: 2.0 * spread,
            spread_values: 2,
        };
        let model = LengthModel { play: Play::new(0.5, 0.5).unwrap(), ..LengthModel::default() };
        LengthTables::new(&model, &grid, []).unwrap()
    }

    /// A posterior that knows the spread, and the mean to some 64ths with their weights.
    fn known(tables: &LengthTables, points: &[(i64, f64)]) -> LengthPosterior {
        let mut weights = vec![0.0; 2 * tables.grid.means()];
        for (mean, weight) in points {
            weights[usize::try_from(80 + mean).unwrap()] = *weight;
        }
        LengthPosterior::of(weights, tables)
    }

    const FACTS: UnitFacts =
        UnitFacts { strings_a_year: 240.0, reports_with_direction: 20, days_under_changed_offset: None };

    fn advice(spread: f64, points: &[(i64, f64)], facts: &UnitFacts) -> Advice {
        let tables = tables(spread);
        let posterior = known(&tables, points);
        let rule = AdviceRule {
            chance: 0.95,
            chance_where_much: 0.95,
            saving_remakes: 1.0,
            reports: 4,
            ..AdviceRule::default()
        };
        advise(&posterior, &tables, &MisfitCosts::default(), facts, &rule).unwrap()
    }

    #[test]
    fn strings_a_quarter_too_short_are_to_be_cut_a_quarter_longer() {
        let advice = advice(0.25, &[(16, 1.0)], &FACTS);
        assert_eq!(advice.cheapest.steps, 2);
        assert_eq!(advice.advised_change_inch(), Some(0.25));
        // 16 misfits in 100 now, 4.55 after.
        let now = advice.outlooks[6];
        assert!((now.misfit_share - 0.160).abs() < 1e-3);
        assert!((advice.suggested.misfit_share - 0.0455).abs() < 1e-3);
        assert!((now.cost - 0.9 * now.misfit_share).abs() < 1e-12);
    }

    #[test]
    fn a_right_offset_is_left_alone() {
        let advice = advice(0.3, &[(0, 1.0)], &FACTS);
        assert_eq!(advice.suggested.steps, 0);
        assert_eq!(advice.reservations, [Reservation::NothingBetter]);
        assert_eq!(advice.advised_change_inch(), None);
    }

    #[test]
    fn in_a_flat_valley_the_smaller_change_is_taken() {
        // Just beyond halfway between 1/8 and 1/4, with a wide spread: both cost the same.
        let advice = advice(0.45, &[(13, 1.0)], &FACTS);
        assert_eq!(advice.cheapest.steps, 2);
        assert_eq!(advice.suggested.steps, 1);
    }

    #[test]
    fn two_opposite_suspicions_give_no_direction() {
        let advice = advice(0.1, &[(32, 0.5), (-32, 0.5)], &FACTS);
        assert_eq!(advice.suggested.steps, 0);
    }

    #[test]
    fn each_condition_can_hold_the_advice_back() {
        let held = |facts: &UnitFacts| advice(0.3, &[(16, 1.0)], facts).reservations;
        let few = UnitFacts { reports_with_direction: 3, ..FACTS };
        assert_eq!(held(&few), [Reservation::TooFewReports]);
        let small = UnitFacts { strings_a_year: 2.0, ..FACTS };
        assert_eq!(held(&small), [Reservation::SavesTooLittle]);
        let fresh = UnitFacts { days_under_changed_offset: Some(59), ..FACTS };
        assert_eq!(held(&fresh), [Reservation::LastChangeTooFresh]);
        let old = UnitFacts { days_under_changed_offset: Some(60), ..FACTS };
        assert!(held(&old).is_empty());
        let unsure = advice(0.3, &[(19, 0.9), (-3, 0.1)], &FACTS);
        assert_eq!(unsure.reservations, [Reservation::NotSureEnough]);
    }

    #[test]
    fn what_saves_much_may_be_less_sure() {
        let tables = tables(0.3);
        let posterior = known(&tables, &[(24, 0.65), (0, 0.35)]);
        let held = |strings_a_year| {
            let facts = UnitFacts { strings_a_year, ..FACTS };
            let advice =
                advise(&posterior, &tables, &MisfitCosts::default(), &facts, &AdviceRule::default()).unwrap();
            assert!((0.60..0.70).contains(&advice.suggested.chance_better));
            (advice.saving_a_year, advice.reservations)
        };
        let (little, at_fifty) = held(50.0);
        let (much, at_four_hundred) = held(400.0);
        assert!(little < 10.0 && much >= 10.0, "{little} {much}");
        assert_eq!(at_fifty, [Reservation::NotSureEnough]);
        assert!(at_four_hundred.is_empty());
    }

    #[test]
    fn costs_of_zero_advise_nothing() {
        let costs = MisfitCosts { too_short: 0.0, too_long: 0.0, remake: 0.0 };
        let tables = tables(0.3);
        let posterior = known(&tables, &[(32, 1.0)]);
        let advice = advise(&posterior, &tables, &costs, &FACTS, &AdviceRule::default()).unwrap();
        assert_eq!(advice.advised_change_inch(), None);
    }

    #[test]
    fn dearer_short_strings_move_the_aim_longer() {
        // Mean 0, spread 0.3: too short at 38 against too long at 14 aims 0.09 longer than even.
        let tables = tables(0.3);
        let posterior = known(&tables, &[(0, 1.0)]);
        let costs = MisfitCosts { too_short: 38.0, too_long: 14.0, remake: 38.0 };
        let advice = advise(&posterior, &tables, &costs, &FACTS, &AdviceRule::default()).unwrap();
        assert_eq!(advice.cheapest.steps, 1);
    }

    #[test]
    fn costs_and_counts_that_are_no_numbers_are_refused() {
        let tables = tables(0.3);
        let posterior = known(&tables, &[(0, 1.0)]);
        let rule = AdviceRule::default();
        let costs = MisfitCosts { too_short: f64::NAN, ..MisfitCosts::default() };
        assert!(advise(&posterior, &tables, &costs, &FACTS, &rule).is_err());
        let facts = UnitFacts { strings_a_year: -1.0, ..FACTS };
        assert!(advise(&posterior, &tables, &MisfitCosts::default(), &facts, &rule).is_err());
    }
}
