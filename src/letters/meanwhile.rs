//! What a letter says about shooting until the matter is put right: from the reading against the
//! range that the bow's maker gives, and from nothing else.

use crate::app::advise::Answer;
use crate::show::sentences::Style;
use crate::show::{inches, range as range_in};
use crate::trade::advice::{Caution, Reason};
use crate::trade::ranges::widened;

/// A sentence on shooting meanwhile.
pub(super) struct Meanwhile {
    pub(super) sentence: String,
    /// The brace height lies outside what the bow's maker gives.
    pub(super) outside: bool,
}

/// What may be shot until then; nothing where the advice itself says that the bow must not be
/// strung or shot, or where it cannot be strung.
pub(super) fn meanwhile(answer: &Answer, style: &Style) -> Option<Meanwhile> {
    let view = &answer.view;
    if view.cautions.iter().any(|caution| matches!(caution, Caution::DoNotShoot | Caution::NeverForce)) {
        return None;
    }
    let len = |value: f64| inches(value, style.unit);
    let sentence = |sentence: String, outside: bool| Some(Meanwhile { sentence, outside });
    if view.reasons.iter().any(|reason| matches!(reason, Reason::SpliceMaySlip { .. })) {
        return sentence("Please do not shoot it before that is known.".to_owned(), false);
    }
    let read = view.brace_as_read();
    let range = answer.bow.brace_range.map(widened);
    let named = range
        .map(|(low, high)| format!("the {} that your bow's maker gives", range_in(low, high, style.unit)));
    match (read, range, named) {
        (Some(brace), Some((low, high)), Some(named)) => {
            let place = if brace < low - 1e-9 {
                "below"
            } else if brace > high + 1e-9 {
                "above"
            } else {
                return sentence(
                    format!(
                        "Meanwhile you may shoot it: {} lies within {named}. Look string and bow over before you do.",
                        len(brace)
                    ),
                    false,
                );
            };
            sentence(format!("Please do not shoot it meanwhile: {} lies {place} {named}.", len(brace)), true)
        }
        (_, _, named) => {
            let named = named.unwrap_or_else(|| "the range that your bow's maker gives".to_owned());
            sentence(
                format!("Please shoot it meanwhile only if its brace height lies within {named}."),
                false,
            )
        }
    }
}
