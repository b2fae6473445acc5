//! What a number is taken for: weights of what stands around it, learned from marked mails.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::trade::words::MailKind;

/// What a number can say, as the marked mails call it.
pub(super) const MEANINGS: [&str; 25] = [
    "other",
    "now",
    "now_n",
    "earlier",
    "maker_low",
    "maker_high",
    "want",
    "want_low",
    "want_high",
    "old_string",
    "other_bow",
    "corrected",
    "off_by",
    "turns_in",
    "turns_out",
    "turns_undone",
    "turns_none",
    "shots",
    "string_length",
    "bow_length",
    "old_string_length",
    "draw_weight",
    "draw_length",
    "strands",
    "bow_year",
];

const FILE: &str = include_str!("lists/weights.txt");

/// The weights are kept in hundredths.
const HUNDREDTHS: f64 = 100.0;

/// How much each feature speaks for each meaning.
pub(super) struct Weights {
    meanings: BTreeMap<String, Vec<(usize, f64)>>,
    kinds: BTreeMap<String, Vec<(usize, f64)>>,
}

static WEIGHTS: LazyLock<Weights> = LazyLock::new(|| Weights::parse(FILE));

impl Weights {
    /// Those that the marked mails taught.
    pub(super) fn learned() -> &'static Self {
        &WEIGHTS
    }

    pub(super) fn parse(file: &str) -> Self {
        let mut weights = Self { meanings: BTreeMap::new(), kinds: BTreeMap::new() };
        for line in file.lines().filter(|line| !line.starts_with('#')) {
            let mut columns = line.split('\t');
            let Some(name) = columns.next() else { continue };
            let values = columns.filter_map(|column| {
                let (place, weight) = column.split_once(' ')?;
                Some((place.parse().ok()?, weight.parse::<f64>().ok()? / HUNDREDTHS))
            });
            match name.strip_prefix("mail ") {
                Some(name) => weights.kinds.insert(name.to_owned(), values.collect()),
                None => weights.meanings.insert(name.to_owned(), values.collect()),
            };
        }
        weights
    }

    /// How probable each meaning is, in the order of [`MEANINGS`].
    pub(super) fn meaning(&self, features: &[String]) -> Vec<f64> {
        chances(&self.meanings, features, MEANINGS.len())
    }

    /// How probable each kind of mail is, in the order of [`MailKind::ALL`].
    pub(super) fn kind(&self, features: &[String]) -> Vec<f64> {
        chances(&self.kinds, features, MailKind::ALL.len())
    }
}

fn chances(weights: &BTreeMap<String, Vec<(usize, f64)>>, features: &[String], count: usize) -> Vec<f64> {
    let mut sums = vec![0.0; count];
    for (place, weight) in features.iter().filter_map(|feature| weights.get(feature)).flatten() {
        if let Some(sum) = sums.get_mut(*place) {
            *sum += weight;
        }
    }
    let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let powers: Vec<f64> = sums.iter().map(|sum| (sum - most).exp()).collect();
    let all: f64 = powers.iter().sum();
    powers.into_iter().map(|power| power / all).collect()
}
