//! The table of bow constants by kind, re-derived from random bows.

use super::{Bow, Kind, SolveError, random_bow};

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct KindRow {
    /// Bow kind.
    pub(crate) kind: Kind,
    /// Mean of kappa = S h / L, as the exponential of the mean of ln kappa.
    pub(crate) kappa: f64,
    /// sd of ln kappa.
    pub(crate) log_sd: f64,
    /// Number of bows.
    pub(crate) bows: usize,
}

/// The row of a kind over the given bows, each with the string of its marked length.
///
/// # Errors
///
/// A root find failed, or fewer than two bows were given.
pub(crate) fn kind_row(kind: Kind, bows: &[Bow]) -> Result<KindRow, SolveError> {
    let logs = bows
        .iter()
        .map(|bow| Ok(bow.bow_constant_ratio()?.ln()))
        .collect::<Result<Vec<f64>, SolveError>>()?;
    let (mean, log_sd) = mean_and_sd(&logs);
    if !log_sd.is_finite() {
        return Err(SolveError::NotFinite(log_sd));
    }
    Ok(KindRow { kind, kappa: mean.exp(), log_sd, bows: bows.len() })
}

/// The row of every kind, each over the random bows of the seeds 0 .. `bows`.
///
/// # Errors
///
/// As for [`kind_row`].
pub(crate) fn kind_table(bows: u64) -> Result<Vec<KindRow>, SolveError> {
    Kind::ALL
        .into_iter()
        .map(|kind| {
            let drawn: Vec<Bow> = (0..bows).map(|seed| random_bow(kind, seed)).collect();
            kind_row(kind, &drawn)
        })
        .collect()
}

/// Mean and sample standard deviation.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn mean_and_sd(values: &[f64]) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (mean, (squares / (count - 1.0)).sqrt())
}
