//! Learns the weights by which sentences are weighed for danger, and numbers of mails for what they say: logistic regression with a penalty
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

/// A thing to be taken for one of several: its features, and the place of what it is.
pub(crate) type Row = (Vec<String>, usize);

/// How weights for one of several classes are learned.
pub(crate) struct Terms {
    pub(crate) penalty: f64,
    pub(crate) rounds: usize,
    /// Features that are kept, those that weigh most.
    pub(crate) kept: usize,
}

/// Weights below this are not kept.
const LEAST_WEIGHT: f64 = 0.02;

/// The lines of a file of weights for one of several classes, each beginning with `prefix` and a feature.
pub(crate) fn lines_of_classes(rows: &[Row], classes: usize, prefix: &str, terms: &Terms) -> Vec<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (features, _) in rows {
        for feature in features.iter().map(String::as_str).collect::<BTreeSet<_>>() {
            *counts.entry(feature).or_default() += 1;
        }
    }
    let named: Vec<&str> =
        counts.iter().filter(|(_, count)| **count >= LEAST_SENTENCES).map(|(name, _)| *name).collect();
    let places: HashMap<&str, usize> = named.iter().enumerate().map(|(at, name)| (*name, at)).collect();
    let data: Vec<(Vec<usize>, usize)> = rows
        .iter()
        .map(|(features, class)| {
            let features: BTreeSet<&str> = features.iter().map(String::as_str).collect();
            (features.into_iter().filter_map(|feature| places.get(feature).copied()).collect(), *class)
        })
        .collect();
    let weights = softmax(&data, named.len(), classes, terms);
    let of = |feature: usize| weights[feature * classes..(feature + 1) * classes].iter();
    let most = |feature: usize| of(feature).fold(0.0_f64, |most, weight| most.max(weight.abs()));
    let mut order: Vec<usize> = (0..named.len()).collect();
    order.sort_by(|a, b| most(*b).total_cmp(&most(*a)).then(a.cmp(b)));
    let mut kept: Vec<usize> = order.into_iter().take(terms.kept).collect();
    kept.sort_unstable();
    kept.into_iter()
        .filter_map(|feature| {
            let columns: Vec<String> = of(feature)
                .enumerate()
                .filter(|(_, weight)| weight.abs() >= LEAST_WEIGHT)
                .map(|(class, weight)| format!("{class} {}", (weight * 100.0).round() as i64))
                .collect();
            (!columns.is_empty()).then(|| format!("{prefix}{}\t{}", named[feature], columns.join("\t")))
        })
        .collect()
}

/// Weights of each feature for each class (Bishop 4.3.4), by the steps of Duchi, Hazan and Singer.
fn softmax(data: &[(Vec<usize>, usize)], features: usize, classes: usize, terms: &Terms) -> Vec<f64> {
    let mut weights = vec![0.0_f64; features * classes];
    let mut squares = vec![1e-9_f64; features * classes];
    let mut slopes = vec![0.0_f64; features * classes];
    for _ in 0..terms.rounds {
        for (slope, weight) in slopes.iter_mut().zip(&weights) {
            *slope = terms.penalty * weight;
        }
        for (row, class) in data {
            let mut chances = vec![0.0; classes];
            for feature in row {
                let of = &weights[feature * classes..(feature + 1) * classes];
                chances.iter_mut().zip(of).for_each(|(chance, weight)| *chance += weight);
            }
            let most = chances.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            chances.iter_mut().for_each(|chance| *chance = (*chance - most).exp());
            let all: f64 = chances.iter().sum();
            chances.iter_mut().for_each(|chance| *chance /= all);
            chances[*class] -= 1.0;
            for feature in row {
                let of = &mut slopes[feature * classes..(feature + 1) * classes];
                of.iter_mut().zip(&chances).for_each(|(slope, error)| *slope += error);
            }
        }
        for ((weight, square), slope) in weights.iter_mut().zip(&mut squares).zip(&slopes) {
            *square += slope * slope;
            *weight -= STEP * slope / square.sqrt();
        }
    }
    weights
}
