//! Comparing the routes without over-reacting to luck.

use super::rate::{ObservedExpected, Tally};
use super::{Estimate, EvidenceError, Interval};
use crate::numeric::{Beta, Tabulated, ln_beta, where_rising_reaches};

/// A route is worse when its rate exceeds that of the others by this factor.
pub const WORSE_RATIO: f64 = 1.25;
/// Chance from which a route is labelled and flagged.
pub const FLAG_CHANCE: f64 = 0.90;
/// Chance from which the label says "clearly".
pub const CLEAR_CHANCE: f64 = 0.95;

/// Ends of the grid of shop means, as rates.
const MEAN_ENDS: (f64, f64) = (0.003, 0.40);
/// Ends of the grid of alikeness, in strings.
const ALIKENESS_ENDS: (f64, f64) = (10.0, 1000.0);
/// Grid points with less than this share of the greatest weight change no shown digit.
const NEGLIGIBLE: f64 = 1e-12;

/// How fine the grids are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RankingGrid {
    /// Values of the shop mean.
    pub means: usize,
    /// Values of the alikeness.
    pub alikenesses: usize,
    /// Equal-probability points for the rate of the other routes.
    pub rest_points: usize,
}

impl RankingGrid {
    /// For the page.
    pub const FINE: Self = Self { means: 41, alikenesses: 17, rest_points: 60 };
    /// Agrees with the fine one to 0.0002 in a rate and 0.001 in a chance.
    pub const COARSE: Self = Self { means: 25, alikenesses: 9, rest_points: 24 };
}

impl Default for RankingGrid {
    fn default() -> Self {
        Self::FINE
    }
}

/// How a route stands against the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Label {
    /// At least a quarter worse with a chance of 0.95 or more.
    ClearlyWorse,
    /// At least a quarter worse with a chance of 0.90 or more.
    Worse,
    /// Neither can be said.
    CannotTell,
    /// At least a quarter better with a chance of 0.90 or more.
    Better,
    /// At least a quarter better with a chance of 0.95 or more.
    ClearlyBetter,
}

impl Label {
    /// Every label, from worst to best.
    pub const ALL: [Self; 5] =
        [Self::ClearlyWorse, Self::Worse, Self::CannotTell, Self::Better, Self::ClearlyBetter];

    /// The fixed spelling.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::ClearlyWorse => "clearly-worse",
            Self::Worse => "worse",
            Self::CannotTell => "cannot-tell",
            Self::Better => "better",
            Self::ClearlyBetter => "clearly-better",
        }
    }

    /// The label for the chances to be at least a quarter worse and at least a quarter better.
    #[must_use]
    pub fn of(chance_worse: f64, chance_better: f64) -> Self {
        if chance_worse >= CLEAR_CHANCE {
            Self::ClearlyWorse
        } else if chance_worse >= FLAG_CHANCE {
            Self::Worse
        } else if chance_better >= CLEAR_CHANCE {
            Self::ClearlyBetter
        } else if chance_better >= FLAG_CHANCE {
            Self::Better
        } else {
            Self::CannotTell
        }
    }
}

impl std::fmt::Display for Label {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// Chances of a route against all the others together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chances {
    /// That its rate is more than 1.25 times theirs.
    pub worse: f64,
    /// That theirs is more than 1.25 times its own.
    pub better: f64,
}

/// One route in the comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RankedRoute {
    /// Rate drawn towards the shop's, with its 95 % interval.
    pub shrunk: Estimate,
    /// Against the others; `None` where there are no others to compare with.
    pub chances: Option<Chances>,
    /// The label; `CannotTell` without others.
    pub label: Label,
}

/// All routes, in the order given, and the shop they were drawn towards.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// One entry per route.
    pub routes: Vec<RankedRoute>,
    /// Posterior mean of the shop's rate.
    pub shop_mean: f64,
    /// Posterior mean of ln(alikeness in strings), as strings.
    pub alikeness: f64,
}

/// One beta distribution of a mixture.
struct Component {
    weight: f64,
    /// ln(weight) - ln B(alpha, beta).
    ln_front: f64,
    beta: Beta,
    shapes: (f64, f64),
}

/// Log likelihood of one route's count under Beta(alpha, beta) distributed rates.
///
/// What: ln B(x + alpha, n - x + beta) - ln B(alpha, beta), the binomial coefficient left out
/// (E04). Symbols: x reports of n effective strings; alpha = mean x alikeness, beta = (1 - mean) x
/// alikeness, in strings. Assumptions: rates of routes vary by a beta distribution. Valid range:
/// alpha and beta above 0, n may be fractional. Source: Gelman et al., Bayesian Data Analysis,
/// ch. 5.
///
/// # Errors
/// When alpha or beta is not finite and above zero.
pub fn route_ln_likelihood(tally: &Tally, alpha: f64, beta: f64) -> Result<f64, EvidenceError> {
    let (x, n) = (f64::from(tally.reports()), tally.denominator());
    Ok(ln_beta(x + alpha, n - x + beta)? - ln_beta(alpha, beta)?)
}

/// Rates drawn towards the shop's, and the chance of each route to be worse than the others.
///
/// What: posterior of each route's rate, averaged over a grid of shop mean and alikeness (E05);
/// chance to be worse or better than all other routes together by a factor 1.25 (E06). Symbols:
/// reports and effective strings per route. Assumptions: routes are exchangeable before the counts
/// are known; flat prior on logit(mean) and ln(alikeness). Valid range: shop means of 0.3 % to 40 %,
/// alikeness of 10 to 1000 strings; a shop beyond these is drawn to the nearer end. Source: Gelman
/// et al., Bayesian Data Analysis, ch. 5; averaging and not the single best alikeness, which runs
/// to infinity with six alike routes.
///
/// # Errors
/// When the grid has fewer than two values in a direction, or no rest points.
pub fn rank_routes(routes: &[Tally], grid: &RankingGrid) -> Result<Ranking, EvidenceError> {
    let points = weighted_grid(routes, grid)?;
    let total: f64 = points.iter().map(|p| p.weight).sum();
    let shop_mean = points.iter().map(|p| p.weight * p.mean).sum::<f64>() / total;
    let ln_alikeness = points.iter().map(|p| p.weight * p.alikeness.ln()).sum::<f64>() / total;
    let mut ranked = Vec::with_capacity(routes.len());
    for (place, tally) in routes.iter().enumerate() {
        let mixture = mixture(tally, &points, total)?;
        let table = tabulate(&mixture);
        let rest = rest_of(routes, place);
        let chances = rest.map(|rest| chances(&table, &rest, grid.rest_points)).transpose()?;
        ranked.push(RankedRoute {
            shrunk: mixture_estimate(&mixture, &table),
            chances,
            label: chances.map_or(Label::CannotTell, |c| Label::of(c.worse, c.better)),
        });
    }
    Ok(Ranking { routes: ranked, shop_mean, alikeness: ln_alikeness.exp() })
}

/// Whether the mix of bow kinds may explain a label.
///
/// What: the label says worse or better, but the comparison with the bow kinds (E03) does not rule
/// out that the route is like the shop. Symbols: ratio of observed to expected reports. Valid range:
/// any. Source: judgement.
#[must_use]
pub fn mix_may_explain(label: Label, by_kind: &ObservedExpected) -> bool {
    match label {
        Label::ClearlyWorse | Label::Worse => by_kind.ratio.interval.low <= 1.0,
        Label::ClearlyBetter | Label::Better => by_kind.ratio.interval.high >= 1.0,
        Label::CannotTell => false,
    }
}

struct GridPoint {
    mean: f64,
    alikeness: f64,
    weight: f64,
}

fn weighted_grid(routes: &[Tally], grid: &RankingGrid) -> Result<Vec<GridPoint>, EvidenceError> {
    for (name, found, needed) in [
        ("grid of shop means", grid.means, 2),
        ("grid of alikeness", grid.alikenesses, 2),
        ("points for the rest", grid.rest_points, 1),
    ] {
        if found < needed {
            return Err(EvidenceError::WrongCount { name, found, needed });
        }
    }
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let means = even(logit(MEAN_ENDS.0), logit(MEAN_ENDS.1), grid.means);
    let alikenesses = even(ALIKENESS_ENDS.0.ln(), ALIKENESS_ENDS.1.ln(), grid.alikenesses);
    let mut points = Vec::with_capacity(grid.means * grid.alikenesses);
    for logit in &means {
        let mean = 1.0 / (1.0 + (-logit).exp());
        for ln_alikeness in &alikenesses {
            let alikeness = ln_alikeness.exp();
            let mut ln_weight = 0.0;
            for tally in routes {
                ln_weight += route_ln_likelihood(tally, mean * alikeness, (1.0 - mean) * alikeness)?;
            }
            points.push(GridPoint { mean, alikeness, weight: ln_weight });
        }
    }
    let greatest = points.iter().map(|p| p.weight).fold(f64::NEG_INFINITY, f64::max);
    for point in &mut points {
        point.weight = (point.weight - greatest).exp();
    }
    points.retain(|p| p.weight >= NEGLIGIBLE);
    Ok(points)
}

/// `count` values from `low` to `high`, both included, at equal distances.
pub(super) fn even(low: f64, high: f64, count: usize) -> Vec<f64> {
    let steps = count.saturating_sub(1).max(1) as f64;
    (0..count).map(|i| low + (high - low) * i as f64 / steps).collect()
}

fn mixture(tally: &Tally, points: &[GridPoint], total: f64) -> Result<Vec<Component>, EvidenceError> {
    let (x, n) = (f64::from(tally.reports()), tally.denominator());
    points
        .iter()
        .map(|p| {
            let shapes = (x + p.mean * p.alikeness, n - x + (1.0 - p.mean) * p.alikeness);
            component(p.weight / total, shapes)
        })
        .collect()
}

fn component(weight: f64, shapes: (f64, f64)) -> Result<Component, EvidenceError> {
    let ln_front = weight.ln() - ln_beta(shapes.0, shapes.1)?;
    Ok(Component { weight, ln_front, beta: Beta::new(shapes.0, shapes.1)?, shapes })
}

/// Farthest log odds that are tabulated: a rate of 1e-15.
const FARTHEST: f64 = 35.0;
/// Standard deviations on each side of every part of a mixture.
const REACH: f64 = 9.0;
/// Most panels; a mixture of a broad and a very narrow part would ask for more.
const MOST_PANELS: f64 = 4000.0;
/// Parts of a density with less than e to this change no digit.
const NOTHING: f64 = -45.0;

/// The distribution of a mixture over ln(p/(1 - p)), tabulated once.
fn tabulate(mixture: &[Component]) -> Tabulated {
    let (mut low, mut high, mut narrow) = (FARTHEST, -FARTHEST, f64::MAX);
    for part in mixture {
        let (a, b) = part.shapes;
        let (middle, sd) = ((a / b).ln(), (1.0 / a + 1.0 / b).sqrt());
        low = low.min(middle - REACH * sd);
        high = high.max(middle + REACH * sd);
        narrow = narrow.min(sd);
    }
    let (low, high) = (low.max(-FARTHEST), high.min(FARTHEST));
    // Towards nought a tail falls off more slowly than a normal one: what lies there is added exactly.
    let below = mixture.iter().map(|part| part.weight * part.beta.cdf(odds_to_rate(low))).sum();
    let panels = ((high - low) / (2.0 * narrow)).ceil().clamp(1.0, MOST_PANELS);
    Tabulated::new(low, (high - low) / panels, panels as usize, below, |odds| {
        let (ln_p, ln_not) = (-(-odds).exp().ln_1p(), -odds.exp().ln_1p());
        mixture
            .iter()
            .map(|part| part.shapes.0 * ln_p + part.shapes.1 * ln_not + part.ln_front)
            .filter(|ln| *ln > NOTHING)
            .map(f64::exp)
            .sum()
    })
}

fn odds_to_rate(odds: f64) -> f64 {
    1.0 / (1.0 + (-odds).exp())
}

/// Chance of a rate at or below `rate`.
fn chance_up_to(table: &Tabulated, rate: f64) -> f64 {
    if rate >= 1.0 { 1.0 } else { table.cdf((rate / (1.0 - rate)).ln()) }
}

fn rate_at(table: &Tabulated, chance: f64) -> f64 {
    let (low, high) = table.ends();
    odds_to_rate(where_rising_reaches(|odds| table.cdf(odds), low, high, chance))
}

fn mixture_estimate(mixture: &[Component], table: &Tabulated) -> Estimate {
    let point = mixture.iter().map(|c| c.weight * c.beta.mean()).sum();
    Estimate { point, interval: Interval { low: rate_at(table, 0.025), high: rate_at(table, 0.975) } }
}

/// All routes but one, or `None` when these hold no strings.
fn rest_of(routes: &[Tally], place: usize) -> Option<Tally> {
    let rest = routes
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != place)
        .map(|(_, tally)| *tally)
        .reduce(|sum, tally| Tally::plus(&sum, &tally))?;
    (rest.denominator() > 0.0).then_some(rest)
}

fn chances(table: &Tabulated, rest: &Tally, points: usize) -> Result<Chances, EvidenceError> {
    let (x, n) = (f64::from(rest.reports()), rest.denominator());
    let rest = tabulate(&[component(1.0, (x + 0.5, n - x + 0.5))?]);
    let count = points as f64;
    let (mut worse, mut better) = (0.0, 0.0);
    for i in 0..points {
        let rate = rate_at(&rest, (i as f64 + 0.5) / count);
        worse += (1.0 - chance_up_to(table, WORSE_RATIO * rate)) / count;
        better += chance_up_to(table, rate / WORSE_RATIO) / count;
    }
    Ok(Chances { worse: worse.clamp(0.0, 1.0), better: better.clamp(0.0, 1.0) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tallies(counts: &[(u32, f64)]) -> Vec<Tally> {
        counts.iter().map(|(x, n)| Tally::new(*x, *n).unwrap()).collect()
    }

    const EXAMPLE: [(u32, f64); 6] = [(5, 120.0), (21, 150.0), (9, 90.0), (4, 60.0), (6, 55.0), (2, 110.0)];

    #[test]
    fn the_coarse_grid_agrees_with_the_fine_one() {
        let routes = tallies(&EXAMPLE);
        let fine = rank_routes(&routes, &RankingGrid::FINE).unwrap();
        let coarse = rank_routes(&routes, &RankingGrid::COARSE).unwrap();
        for (a, b) in fine.routes.iter().zip(&coarse.routes) {
            assert!((a.shrunk.point - b.shrunk.point).abs() < 3e-4);
            assert!((a.chances.unwrap().worse - b.chances.unwrap().worse).abs() < 2e-3);
        }
    }

    #[test]
    fn a_tabulated_mixture_is_the_sum_of_its_parts_to_ten_digits() {
        for counts in [
            &[(5, 120.0), (21, 150.0), (0, 14.5)][..],
            &[(1700, 17_000.0), (900, 17_500.0), (2400, 16_000.25)][..],
            &[(0, 3.0), (3, 3.0)][..],
        ] {
            let tallies: Vec<Tally> = counts.iter().map(|(x, n)| Tally::new(*x, *n).unwrap()).collect();
            let points = weighted_grid(&tallies, &RankingGrid::FINE).unwrap();
            let total: f64 = points.iter().map(|p| p.weight).sum();
            for tally in &tallies {
                let mixture = mixture(tally, &points, total).unwrap();
                let table = tabulate(&mixture);
                for rate in [1e-9, 1e-4, 0.01, 0.05, 0.0999, 0.1, 0.13, 0.2, 0.6, 0.99] {
                    let exact: f64 = mixture.iter().map(|c| c.weight * c.beta.cdf(rate)).sum();
                    let got = chance_up_to(&table, rate);
                    assert!((got - exact).abs() < 1e-10, "{tally:?} {rate}: {got} {exact}");
                }
            }
        }
    }

    #[test]
    fn the_route_with_twenty_one_of_one_hundred_and_fifty_is_flagged() {
        let ranking = rank_routes(&tallies(&EXAMPLE), &RankingGrid::FINE).unwrap();
        assert!(matches!(ranking.routes[1].label, Label::Worse | Label::ClearlyWorse));
        assert_eq!(ranking.routes[5].label, Label::Better);
        assert_eq!(ranking.routes[2].label, Label::CannotTell);
    }

    #[test]
    fn six_equal_routes_are_drawn_together_and_cannot_be_told_apart() {
        let ranking = rank_routes(&tallies(&[(8, 100.0); 6]), &RankingGrid::COARSE).unwrap();
        for route in &ranking.routes {
            assert_eq!(route.label, Label::CannotTell);
            assert!((route.shrunk.point - 0.08).abs() < 0.005);
            let chances = route.chances.unwrap();
            assert!(chances.worse > 0.001 && chances.worse < 0.4);
        }
    }

    #[test]
    fn no_route_at_all_is_an_empty_ranking() {
        let ranking = rank_routes(&[], &RankingGrid::COARSE).unwrap();
        assert!(ranking.routes.is_empty());
        assert!(ranking.shop_mean.is_finite());
    }

    #[test]
    fn a_single_route_has_no_others_to_be_compared_with() {
        let ranking = rank_routes(&tallies(&[(3, 40.0)]), &RankingGrid::COARSE).unwrap();
        assert_eq!(ranking.routes[0].chances, None);
        assert_eq!(ranking.routes[0].label, Label::CannotTell);
        let empty_rest = rank_routes(&tallies(&[(3, 40.0), (0, 0.0)]), &RankingGrid::COARSE);
        assert_eq!(empty_rest.unwrap().routes[0].chances, None);
    }

    #[test]
    fn a_route_without_strings_is_given_the_shop() {
        let ranking =
            rank_routes(&tallies(&[(8, 100.0), (0, 0.0), (9, 100.0)]), &RankingGrid::COARSE).unwrap();
        let empty = ranking.routes[1].shrunk;
        assert!((empty.point - ranking.shop_mean).abs() < 1e-9);
        assert!(empty.interval.contains(empty.point));
    }

    #[test]
    fn no_report_anywhere_stays_finite() {
        let ranking = rank_routes(&tallies(&[(0, 50.0); 3]), &RankingGrid::COARSE).unwrap();
        for route in &ranking.routes {
            assert!(route.shrunk.point > 0.0 && route.shrunk.point < 0.03);
            assert_eq!(route.label, Label::CannotTell);
        }
    }

    #[test]
    fn every_string_reported_stays_finite() {
        let ranking = rank_routes(&tallies(&[(30, 30.0); 2]), &RankingGrid::COARSE).unwrap();
        for route in &ranking.routes {
            assert!(route.shrunk.interval.high <= 1.0 && route.shrunk.point > 0.4);
            assert!(route.chances.unwrap().worse < 0.5);
        }
    }

    #[test]
    fn a_very_large_shop_stays_finite() {
        let ranking =
            rank_routes(&tallies(&[(4_000, 40_000.0), (900, 8_000.5)]), &RankingGrid::COARSE).unwrap();
        assert!((ranking.routes[0].shrunk.point - 0.1).abs() < 0.001);
        assert!((ranking.routes[1].shrunk.point - 0.1125).abs() < 0.002);
    }

    #[test]
    fn a_grid_of_one_point_is_refused() {
        let grid = RankingGrid { means: 1, ..RankingGrid::FINE };
        assert!(rank_routes(&[], &grid).is_err());
        let no_rest = RankingGrid { rest_points: 0, ..RankingGrid::FINE };
        assert!(rank_routes(&[], &no_rest).is_err());
    }

    #[test]
    fn labels_change_at_their_limits() {
        assert_eq!(Label::of(0.95, 0.0), Label::ClearlyWorse);
        assert_eq!(Label::of(0.949, 0.0), Label::Worse);
        assert_eq!(Label::of(0.899, 0.899), Label::CannotTell);
        assert_eq!(Label::of(0.0, 0.90), Label::Better);
        assert_eq!(Label::of(0.0, 0.95), Label::ClearlyBetter);
        let names: Vec<_> = Label::ALL.iter().map(ToString::to_string).collect();
        assert_eq!(names, ["clearly-worse", "worse", "cannot-tell", "better", "clearly-better"]);
    }

    #[test]
    fn the_bows_may_explain_a_label_when_the_ratio_leaves_room() {
        let by_kind = |low, high| ObservedExpected {
            observed: 5,
            expected: 4.0,
            ratio: Estimate { point: 1.25, interval: Interval { low, high } },
        };
        assert!(mix_may_explain(Label::Worse, &by_kind(0.9, 2.0)));
        assert!(!mix_may_explain(Label::Worse, &by_kind(1.1, 2.0)));
        assert!(mix_may_explain(Label::Better, &by_kind(0.5, 1.2)));
        assert!(!mix_may_explain(Label::CannotTell, &by_kind(0.5, 1.2)));
    }
}
