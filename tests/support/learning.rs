//! Learns the weights by which sentences are weighed for danger: logistic regression with a penalty
//! on large weights (C. M. Bishop, Pattern Recognition and Machine Learning, 2006, 4.3), by the
//! adaptive steps of J. Duchi, E. Hazan, Y. Singer, J. Mach. Learn. Res. 12 (2011) 2121.

use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A sentence of the corpus: its pieces, whether it speaks of danger, and of which kind.
pub(crate) struct Marked {
    pub(crate) pieces: BTreeSet<String>,
    pub(crate) danger: bool,
    pub(crate) of: String,
}

/// A piece that stands in fewer sentences teaches nothing.
const LEAST_SENTENCES: usize = 2;
/// Pieces that are kept, those that weigh most.
const KEPT: usize = 16_000;
/// Strength of the penalty on large weights, against the sum over all sentences.
const PENALTY: f64 = 3.3;
const ROUNDS: usize = 120;
const STEP: f64 = 0.15;

/// Weights of pieces, with that of every sentence at the end.
fn regression(rows: &[(Vec<usize>, bool)], pieces: usize) -> Vec<f64> {
    let mut weights = vec![0.0; pieces + 1];
    let mut squares = vec![1e-9; pieces + 1];
    let mut slope = vec![0.0; pieces + 1];
    for _ in 0..ROUNDS {
        for (slope, weight) in slope.iter_mut().zip(&weights).take(pieces) {
            *slope = PENALTY * weight;
        }
        slope[pieces] = 0.0;
        for (row, danger) in rows {
            let odds: f64 = weights[pieces] + row.iter().map(|at| weights[*at]).sum::<f64>();
            let error = 1.0 / (1.0 + (-odds).exp()) - f64::from(u8::from(*danger));
            for at in row.iter().chain([&pieces]) {
                slope[*at] += error;
            }
        }
        for ((weight, square), slope) in weights.iter_mut().zip(&mut squares).zip(&slope) {
            *square += slope * slope;
            *weight -= STEP * slope / square.sqrt();
        }
    }
    weights
}

/// The lines of the file of weights, without its head.
pub(crate) fn lines(corpus: &[Marked]) -> Vec<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for piece in corpus.iter().flat_map(|marked| &marked.pieces) {
        *counts.entry(piece).or_default() += 1;
    }
    let named: Vec<&str> =
        counts.iter().filter(|(_, count)| **count >= LEAST_SENTENCES).map(|(piece, _)| *piece).collect();
    let rows = |named: &[&str], wanted: &dyn Fn(&Marked) -> Option<bool>| {
        let places: HashMap<&str, usize> = named.iter().enumerate().map(|(at, piece)| (*piece, at)).collect();
        corpus
            .iter()
            .filter_map(|marked| {
                let row =
                    marked.pieces.iter().filter_map(|piece| places.get(piece.as_str()).copied()).collect();
                wanted(marked).map(|danger| (row, danger))
            })
            .collect::<Vec<_>>()
    };
    let all = regression(&rows(&named, &|marked| Some(marked.danger)), named.len());
    let mut order: Vec<usize> = (0..named.len()).collect();
    order.sort_by(|a, b| all[*b].abs().total_cmp(&all[*a].abs()).then(a.cmp(b)));
    let mut kept: Vec<&str> = order.into_iter().take(KEPT).map(|at| named[at]).collect();
    kept.sort_unstable();
    // Learned once more with what is kept, so that the rest is not missed.
    let danger = regression(&rows(&kept, &|marked| Some(marked.danger)), kept.len());
    let kinds = ["string", "bow", "shot"]
        .map(|of| regression(&rows(&kept, &|marked| marked.danger.then_some(marked.of == of)), kept.len()));
    let hundredths = |weights: &[f64], at: usize| (weights[at] * 100.0).round() as i64;
    (0..=kept.len())
        .rev()
        .map(|at| {
            let piece = kept.get(at).copied().unwrap_or("*");
            let [string, bow, shot] = [&kinds[0], &kinds[1], &kinds[2]].map(|kind| hundredths(kind, at));
            format!("|{piece}|{} {string} {bow} {shot}", hundredths(&danger, at))
        })
        .collect()
}
