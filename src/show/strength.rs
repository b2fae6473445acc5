//! What a string holds against what its bow asks of it, in words.

use super::names::yarn_name;
use crate::app::strength::StrengthView;
use crate::trade::strength::{FLOOR_TIMES, Missing, Sum, pounds};

/// What a string holds and what it has to hold.
#[must_use]
pub fn strength_sum(sum: &Sum) -> String {
    format!(
        "{} strands of {} at {} each hold {}; it has to hold {FLOOR_TIMES} times the draw weight of {}, which is {}",
        sum.strands,
        yarn_name(sum.yarn),
        pounds(sum.strand.pounds),
        pounds(sum.holds()),
        pounds(sum.draw),
        pounds(sum.floor())
    )
}

/// That the strength stands on a figure of the workshop's own, where it does.
#[must_use]
pub fn own_strength(sum: &Sum) -> Option<String> {
    let own = sum.strand.own.as_ref()?;
    Some(format!(
        "A strand of {} counts as {} by the workshop's own setting, above the {} of its source: {}.",
        yarn_name(sum.yarn),
        pounds(sum.strand.pounds),
        pounds(own.source),
        own.why.as_deref().unwrap_or("no reason is on record")
    ))
}

/// That the strength was not checked, and why not, after the word "strength".
#[must_use]
pub fn strength_not_checked(missing: &[Missing]) -> String {
    let names: Vec<&str> = missing
        .iter()
        .map(|missing| match missing {
            Missing::DrawWeight => "the bow's draw weight",
            Missing::Strands => "the number of strands",
            Missing::Yarn => "the yarn",
        })
        .collect();
    format!("not checked: {} {} not known", names.join(" and "), if names.len() == 1 { "is" } else { "are" })
}

/// The strength of a string in one line.
#[must_use]
pub fn strength_line(view: &StrengthView) -> String {
    match &view.sum {
        None => strength_not_checked(&view.missing),
        Some(sum) => {
            let words = match view.below() {
                Some(_) => format!("BELOW THE FLOOR, do not shoot: {}.", strength_sum(sum)),
                None => format!(
                    "enough: {} against a floor of {} (a floor, no recommendation).",
                    pounds(sum.holds()),
                    pounds(sum.floor())
                ),
            };
            own_strength(sum).map_or_else(|| words.clone(), |own| format!("{words} {own}"))
        }
    }
}
