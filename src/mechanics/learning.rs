//! What the workshop's own second readings say about the effect of turns. Method M21.
//!
//! The ratio of true to predicted effect of a string on a bow is taken as
//! 1 + shop + kind of bow + construction + this bow and string. The first three are
//! effects with normal priors that every second reading updates in closed form; together
//! with the last they make up exactly the doubt of the tables, so that a workshop without
//! readings gets the table's figures. The spread from bow to bow is averaged over a small
//! grid of factors by how well each predicts the readings.

use std::collections::BTreeMap;

use super::bow::{BowConstant, BowKind};
use super::twist::{BENCH_LOG_SD, Construction, TwistBody};

/// Variance that all strings of a shop share (judgement, no source: 4 %).
const SHOP_VARIANCE: f64 = 0.04 * 0.04;
/// Variance from string to string of one construction that a bench figure leaves.
const STRING_VARIANCE: f64 = BENCH_LOG_SD * BENCH_LOG_SD - SHOP_VARIANCE;
/// Share of a kind's variance that is doubt about the kind's constant itself (judgement, no
/// source: "the first real second readings may move the constant by more than its sd").
const KIND_SHARE: f64 = 0.25;
/// Factors tried on the spread from bow to bow: steps of half in the logarithm, weighted by a
/// log-normal of log sd 0.5.
fn spread_factors() -> impl Iterator<Item = (f64, f64)> {
    (-3..=3).map(|step| {
        let z = f64::from(step);
        ((0.5 * z).exp(), (-0.5 * z * z).exp())
    })
}

/// What one string on one bow showed after turns.
#[derive(Debug, Clone, PartialEq)]
pub struct EffectReading {
    /// Where it comes from, for listing (a report's id).
    pub label: String,
    /// Kind of bow.
    pub kind: BowKind,
    /// Construction of the string.
    pub construction: Construction,
    /// True where the bow constant rests on fade measures, not on the kind.
    pub bow_measured: bool,
    /// True where the string factor rests on a bench figure.
    pub from_bench: bool,
    /// sd of ln K for this bow, and of ln(string factor) for this string.
    pub log_sds: (f64, f64),
    /// Step predicted at ratio 1, inches of brace height.
    pub predicted: f64,
    /// Step observed, inches.
    pub observed: f64,
    /// sd of the observed step from reading, inches.
    pub observed_sd: f64,
    /// Share of the ratio's error from not knowing the turns: sd_n0 / (n0 + k/2).
    pub turns_share: f64,
}

/// One line of the table of effects.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectRow<Key> {
    /// Kind or construction.
    pub key: Key,
    /// Prior sd of the effect (its prior mean is 0).
    pub prior_sd: f64,
    /// Effect now.
    pub now: f64,
    /// Its sd now.
    pub now_sd: f64,
    /// Readings that bear on it.
    pub readings: u32,
}

/// A reading more than three standard deviations off; it is left out of the pool.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlier {
    /// Where it comes from.
    pub label: String,
    /// Observed over predicted step.
    pub ratio: f64,
    /// Standard deviations off.
    pub off: f64,
}

/// The pooled effects.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    kinds: Vec<BowKind>,
    constructions: Vec<Construction>,
    mean: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    spread_factor: f64,
    kind_counts: BTreeMap<BowKind, u32>,
    construction_counts: BTreeMap<Construction, u32>,
    /// Readings used.
    pub readings: u32,
    /// Readings left out.
    pub outliers: Vec<Outlier>,
    kind_prior_sd: BTreeMap<BowKind, f64>,
    construction_prior_sd: BTreeMap<Construction, f64>,
}

/// Prior of the ratio for one string on one bow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PooledPrior {
    /// Expected ratio.
    pub ratio: f64,
    /// Its sd, the turns in apart.
    pub sd: f64,
    /// Readings of the same kind or construction behind it.
    pub readings: u32,
}

fn kind_variance(kind: BowKind) -> f64 {
    let log_sd = super::bow::kind_constant(kind).log_sd;
    KIND_SHARE * log_sd * log_sd
}

fn construction_variance(factor_log_sd: f64) -> f64 {
    (factor_log_sd * factor_log_sd - BENCH_LOG_SD * BENCH_LOG_SD).max(0.0)
}

/// Variance of one bow and string about the effects.
fn own_variance(
    bow_measured: bool,
    from_bench: bool,
    log_sds: (f64, f64),
    kind: BowKind,
    factor: f64,
) -> f64 {
    let bow = if bow_measured { log_sds.0 * log_sds.0 } else { log_sds.0 * log_sds.0 - kind_variance(kind) };
    let string = if from_bench { log_sds.1 * log_sds.1 - SHOP_VARIANCE } else { STRING_VARIANCE };
    bow.max(0.0) * factor + string.max(0.0)
}

/// Mean factor of the grid before any reading; factors are divided by it so that the prior
/// spread is that of the tables.
fn factor_scale() -> f64 {
    let weight: f64 = spread_factors().map(|(_, weight)| weight).sum();
    spread_factors().map(|(factor, weight)| factor * weight).sum::<f64>() / weight
}

struct Filter {
    mean: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    log_likelihood: f64,
}

impl Filter {
    /// One scalar observation of the sum of the effects `at`.
    fn observe(&mut self, at: &[usize], value: f64, noise: f64) -> f64 {
        let column: Vec<f64> = self.covariance.iter().map(|row| at.iter().map(|&i| row[i]).sum()).collect();
        let spread = at.iter().map(|&i| column[i]).sum::<f64>() + noise;
        let surprise = value - at.iter().map(|&i| self.mean[i]).sum::<f64>();
        let off = surprise / spread.sqrt();
        if off.abs() > 3.0 {
            return off;
        }
        self.log_likelihood -= 0.5 * (spread.ln() + off * off);
        for ((own, mean), row) in column.iter().zip(&mut self.mean).zip(&mut self.covariance) {
            let gain = own / spread;
            *mean += gain * surprise;
            for (entry, other) in row.iter_mut().zip(&column) {
                *entry -= gain * other;
            }
        }
        off
    }
}

impl Pool {
    /// Pools second readings, in the order given. Closed form for each factor of the spread. Method M21.
    #[must_use]
    pub fn from_readings(readings: &[EffectReading]) -> Self {
        let mut kind_counts = BTreeMap::new();
        let mut construction_counts = BTreeMap::new();
        let mut construction_prior_sd = BTreeMap::new();
        for reading in readings {
            kind_counts.entry(reading.kind).or_insert(0);
            construction_counts.entry(reading.construction).or_insert(0);
            if !reading.from_bench {
                construction_prior_sd
                    .insert(reading.construction, construction_variance(reading.log_sds.1).sqrt());
            }
        }
        let kinds: Vec<BowKind> = kind_counts.keys().copied().collect();
        let constructions: Vec<Construction> = construction_counts.keys().copied().collect();
        let kind_prior_sd: BTreeMap<BowKind, f64> =
            kinds.iter().map(|&kind| (kind, kind_variance(kind).sqrt())).collect();

        let mut prior = vec![SHOP_VARIANCE];
        prior.extend(kinds.iter().map(|kind| kind_variance(*kind)));
        prior.extend(
            constructions.iter().map(|c| construction_prior_sd.get(c).map_or(0.0, |sd: &f64| sd * sd)),
        );
        let size = prior.len();
        let scale = factor_scale();
        let loading = |reading: &EffectReading| -> Vec<usize> {
            let mut at = vec![0];
            if !reading.bow_measured {
                at.extend(kinds.iter().position(|kind| *kind == reading.kind).map(|i| 1 + i));
            }
            if !reading.from_bench {
                at.extend(
                    constructions
                        .iter()
                        .position(|c| *c == reading.construction)
                        .map(|i| 1 + kinds.len() + i),
                );
            }
            at
        };
        // A step too small to be read teaches nothing and would divide by next to nothing.
        let usable: Vec<(&EffectReading, Vec<usize>)> = readings
            .iter()
            .filter(|reading| reading.predicted.abs() >= 0.05)
            .map(|reading| (reading, loading(reading)))
            .collect();

        let mut mean = vec![0.0; size];
        let mut second = vec![vec![0.0; size]; size];
        let (mut weights, mut factor_mean) = (0.0, 0.0);
        let mut outliers = Vec::new();
        let mut runs = Vec::new();
        for (factor, log_normal) in spread_factors() {
            let factor = factor / scale;
            let mut filter = Filter {
                mean: vec![0.0; size],
                covariance: (0..size)
                    .map(|i| (0..size).map(|j| if i == j { prior[i] } else { 0.0 }).collect())
                    .collect(),
                log_likelihood: log_normal.ln(),
            };
            let mut off_here = Vec::new();
            for (reading, at) in &usable {
                let reading_sd = reading.observed_sd / reading.predicted;
                let noise = own_variance(
                    reading.bow_measured,
                    reading.from_bench,
                    reading.log_sds,
                    reading.kind,
                    factor,
                ) + reading_sd * reading_sd
                    + reading.turns_share * reading.turns_share;
                let ratio = reading.observed / reading.predicted;
                let off = filter.observe(at, ratio - 1.0, noise);
                if off.abs() > 3.0 {
                    off_here.push(Outlier { label: reading.label.clone(), ratio, off });
                    // A factor is not rewarded for calling readings outliers.
                    filter.log_likelihood -= 0.5 * 9.0 + 0.5 * noise.ln();
                }
            }
            if (factor * scale - 1.0).abs() < 1e-9 {
                outliers = off_here;
            }
            runs.push((factor, filter));
        }
        let best = runs.iter().map(|(_, f)| f.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
        for (factor, filter) in &runs {
            let weight = (filter.log_likelihood - best).exp();
            weights += weight;
            factor_mean += weight * factor;
            for (i, row) in second.iter_mut().enumerate() {
                mean[i] += weight * filter.mean[i];
                for (j, entry) in row.iter_mut().enumerate() {
                    *entry += weight * (filter.covariance[i][j] + filter.mean[i] * filter.mean[j]);
                }
            }
        }
        mean.iter_mut().for_each(|value| *value /= weights);
        for (i, row) in second.iter_mut().enumerate() {
            for (j, entry) in row.iter_mut().enumerate() {
                *entry = *entry / weights - mean[i] * mean[j];
            }
        }
        let left_out: Vec<&str> = outliers.iter().map(|outlier| outlier.label.as_str()).collect();
        let mut used = 0;
        for (reading, _) in &usable {
            if !left_out.contains(&reading.label.as_str()) {
                used += 1;
                *kind_counts.entry(reading.kind).or_insert(0) += 1;
                *construction_counts.entry(reading.construction).or_insert(0) += 1;
            }
        }
        Self {
            kinds,
            constructions,
            mean,
            covariance: second,
            spread_factor: factor_mean / weights,
            kind_counts,
            construction_counts,
            readings: used,
            outliers,
            kind_prior_sd,
            construction_prior_sd,
        }
    }

    /// Prior of the ratio for a string on a bow, from the tables and the pooled readings. Method M21.
    #[must_use]
    pub fn prior(
        &self,
        kind: BowKind,
        construction: Construction,
        constant: &BowConstant,
        body: &TwistBody,
    ) -> PooledPrior {
        let mut at = vec![0];
        let mut variance = own_variance(
            constant.measured,
            body.from_bench,
            (constant.log_sd, body.string_factor_log_sd),
            kind,
            self.spread_factor,
        );
        let mut readings = 0;
        if !constant.measured {
            match self.kinds.iter().position(|known| *known == kind) {
                Some(i) => {
                    at.push(1 + i);
                    readings = readings.max(self.kind_counts.get(&kind).copied().unwrap_or(0));
                }
                None => variance += kind_variance(kind),
            }
        }
        if !body.from_bench {
            match self.constructions.iter().position(|known| *known == construction) {
                Some(i) if self.construction_prior_sd.contains_key(&construction) => {
                    at.push(1 + self.kinds.len() + i);
                    readings =
                        readings.max(self.construction_counts.get(&construction).copied().unwrap_or(0));
                }
                _ => variance += construction_variance(body.string_factor_log_sd),
            }
        }
        let mean: f64 = at.iter().map(|&i| self.mean[i]).sum();
        variance += at.iter().map(|&i| at.iter().map(|&j| self.covariance[i][j]).sum::<f64>()).sum::<f64>();
        PooledPrior { ratio: (1.0 + mean).max(0.2), sd: variance.max(0.0).sqrt(), readings }
    }

    /// The effects by kind of bow.
    #[must_use]
    pub fn kind_rows(&self) -> Vec<EffectRow<BowKind>> {
        self.kinds
            .iter()
            .enumerate()
            .map(|(i, &kind)| EffectRow {
                key: kind,
                prior_sd: self.kind_prior_sd.get(&kind).copied().unwrap_or(0.0),
                now: self.mean[1 + i],
                now_sd: self.covariance[1 + i][1 + i].max(0.0).sqrt(),
                readings: self.kind_counts.get(&kind).copied().unwrap_or(0),
            })
            .collect()
    }

    /// The effects by construction.
    #[must_use]
    pub fn construction_rows(&self) -> Vec<EffectRow<Construction>> {
        self.constructions
            .iter()
            .enumerate()
            .map(|(i, &construction)| {
                let at = 1 + self.kinds.len() + i;
                EffectRow {
                    key: construction,
                    prior_sd: self.construction_prior_sd.get(&construction).copied().unwrap_or(0.0),
                    now: self.mean[at],
                    now_sd: self.covariance[at][at].max(0.0).sqrt(),
                    readings: self.construction_counts.get(&construction).copied().unwrap_or(0),
                }
            })
            .collect()
    }

    /// The effect that all strings share, with prior sd and sd now.
    #[must_use]
    pub fn shop_row(&self) -> EffectRow<()> {
        EffectRow {
            key: (),
            prior_sd: SHOP_VARIANCE.sqrt(),
            now: self.mean[0],
            now_sd: self.covariance[0][0].max(0.0).sqrt(),
            readings: self.readings,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::bow::constant_from_kind;
    use crate::mechanics::estimate::Chain;
    use crate::mechanics::twist::Yarn;

    const HMPE: Construction = Construction { yarn: Yarn::Hmpe, strands: 16, plies: 2 };

    fn reading(label: &str, ratio: f64) -> EffectReading {
        EffectReading {
            label: label.to_owned(),
            kind: BowKind::Recurve,
            construction: HMPE,
            bow_measured: false,
            from_bench: false,
            log_sds: (0.13, 0.22),
            predicted: 0.5,
            observed: 0.5 * ratio,
            observed_sd: 0.088,
            turns_share: 0.04,
        }
    }

    #[test]
    fn without_readings_the_prior_is_that_of_the_tables() {
        let constant = constant_from_kind(BowKind::Recurve, 59.0);
        let body = TwistBody::from_build(HMPE, 59.0).unwrap();
        let prior = Pool::from_readings(&[]).prior(BowKind::Recurve, HMPE, &constant, &body);
        let (ratio, sd) = Chain::table_prior(&constant, &body);
        assert!((prior.ratio - ratio).abs() < 1e-12 && (prior.sd - sd).abs() < 1e-9, "{prior:?}");
    }

    #[test]
    fn thirty_readings_replace_the_table() {
        let readings: Vec<_> =
            (0..30).map(|i| reading(&format!("R-{i}"), if i % 2 == 0 { 1.35 } else { 1.15 })).collect();
        let pool = Pool::from_readings(&readings);
        let constant = constant_from_kind(BowKind::Recurve, 59.0);
        let body = TwistBody::from_build(HMPE, 59.0).unwrap();
        let prior = pool.prior(BowKind::Recurve, HMPE, &constant, &body);
        assert!((prior.ratio - 1.25).abs() < 0.02, "{prior:?}");
        assert!(prior.sd < 0.16 && prior.readings == 30, "{prior:?}");
        // Another construction on the same kind learns a part of it only.
        let linen = Construction { yarn: Yarn::Linen, strands: 16, plies: 2 };
        let other =
            pool.prior(BowKind::Recurve, linen, &constant, &TwistBody::from_build(linen, 59.0).unwrap());
        assert!(other.ratio > 1.01 && other.ratio < 1.15, "{other:?}");
    }

    #[test]
    fn a_wild_reading_is_listed_and_left_out() {
        let mut readings: Vec<_> = (0..10).map(|i| reading(&format!("R-{i}"), 1.0)).collect();
        readings.push(reading("R-99", 4.0));
        let pool = Pool::from_readings(&readings);
        assert_eq!(pool.outliers.len(), 1);
        assert_eq!(pool.outliers[0].label, "R-99");
        assert_eq!(pool.readings, 10);
    }
}
