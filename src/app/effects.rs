//! The table of what the workshop's own second readings say.

use serde::Serialize;

use super::error::AppError;
use super::facts::own_readings;
use crate::book::Book;
use crate::mechanics::bow::{BowKind, kind_constant};
use crate::mechanics::learning::{EffectRow, Pool};
use crate::mechanics::settling::learned_settling;
use crate::mechanics::twist::{Construction, Yarn, yarn_figures};

/// One line: a kind of bow or a construction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectLine {
    /// Kind of bow, where it is one.
    pub bow_kind: Option<BowKind>,
    /// Construction, where it is one.
    pub construction: Option<Construction>,
    /// Figure of the tables: K over string length for a kind, the string factor for a construction.
    pub table_figure: Option<f64>,
    /// The same after the workshop's own readings.
    pub own_figure: Option<f64>,
    /// sd of the effect before any reading, share.
    pub prior_sd: f64,
    /// Effect now, share: +0.10 is a tenth more than the tables say.
    pub now: f64,
    /// Its sd.
    pub now_sd: f64,
    /// Readings that bear on it.
    pub readings: u32,
}

/// A reading that lies more than three standard deviations off and is left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutlierLine {
    /// `R-<number>`.
    pub report: String,
    /// Observed over predicted step.
    pub ratio: f64,
    /// Standard deviations off.
    pub off_sd: f64,
}

/// Settling by yarn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettlingLine {
    /// Yarn.
    pub yarn: Yarn,
    /// Growth by the settings.
    pub prior_inch: f64,
    /// Its sd.
    pub prior_sd_inch: f64,
    /// Growth now.
    pub now_inch: f64,
    /// Readings behind it.
    pub readings: u32,
}

/// The whole table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectsView {
    /// Second readings used.
    pub readings: u32,
    /// All strings together.
    pub shop: EffectLine,
    /// By kind of bow and by construction.
    pub lines: Vec<EffectLine>,
    /// Left out.
    pub outliers: Vec<OutlierLine>,
    /// Settling.
    pub settling: Vec<SettlingLine>,
}

fn line<Key>(
    row: &EffectRow<Key>,
    bow_kind: Option<BowKind>,
    construction: Option<Construction>,
) -> EffectLine {
    let table_figure = bow_kind
        .map(|kind| kind_constant(kind).ratio)
        .or_else(|| construction.map(|construction| yarn_figures(construction.yarn).string_factor));
    EffectLine {
        bow_kind,
        construction,
        table_figure,
        own_figure: table_figure.map(|figure| figure * (1.0 + row.now)),
        prior_sd: row.prior_sd,
        now: row.now,
        now_sd: row.now_sd,
        readings: row.readings,
    }
}

/// What the workshop's own second readings say about the tables.
///
/// # Errors
/// The book cannot be read.
pub fn effects(book: &mut Book) -> Result<EffectsView, AppError> {
    let (rules, own) = book.read(|page| {
        let rules = super::page_rules(page)?;
        let own = own_readings(page, &rules, &super::recorded_turns(page, &rules)?, None)?;
        Ok::<_, AppError>((rules, own))
    })?;
    let pool = Pool::from_readings(&own.effects);
    let mut lines: Vec<EffectLine> =
        pool.kind_rows().iter().map(|row| line(row, Some(row.key), None)).collect();
    lines.extend(pool.construction_rows().iter().map(|row| line(row, None, Some(row.key))));
    let settling = Yarn::ALL
        .iter()
        .map(|&yarn| {
            let (expected, sd) = rules.settling(yarn);
            let of_yarn: Vec<_> =
                own.growth.iter().filter(|(of, _)| *of == yarn).map(|(_, reading)| *reading).collect();
            let learned = learned_settling(yarn, (expected, sd), &of_yarn, f64::from(rules.settle_shots));
            SettlingLine {
                yarn,
                prior_inch: expected,
                prior_sd_inch: sd,
                now_inch: learned.expected,
                readings: learned.readings,
            }
        })
        .collect();
    Ok(EffectsView {
        readings: pool.readings,
        shop: line(&pool.shop_row(), None, None),
        lines,
        outliers: pool
            .outliers
            .iter()
            .map(|outlier| OutlierLine {
                report: outlier.label.clone(),
                ratio: outlier.ratio,
                off_sd: outlier.off,
            })
            .collect(),
        settling,
    })
}
