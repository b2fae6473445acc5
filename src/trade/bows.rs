//! Whether two descriptions can be of one bow, and what is known when they are put together.

use super::records::{BowChanges, BowProfile};
use super::words::{Stave, Tips};
use crate::mechanics::bow::BowKind;

/// Two bows that look like one: of the same known kind and the same known marked length.
#[must_use]
pub fn are_alike(one: &BowProfile, other: &BowProfile) -> bool {
    one.kind == other.kind
        && one.kind != BowKind::Unknown
        && one.marked_length.is_some()
        && one.marked_length == other.marked_length
}

/// What a description says, as changes to another: what it leaves open is `None`.
fn said_by(bow: &BowProfile) -> BowChanges {
    BowChanges {
        kind: (bow.kind != BowKind::Unknown).then_some(bow.kind),
        marked_length: bow.marked_length,
        nock_to_nock: bow.nock_to_nock,
        draw_weight: bow.draw_weight,
        brace_range: bow.brace_range,
        // Of the same bow somebody else may know it.
        range_unknown: None,
        tips: (bow.tips != Tips::Unknown).then_some(bow.tips),
        stave: (bow.stave != Stave::Unknown).then_some(bow.stave),
        year: bow.year,
        maker_allows_low_stretch: bow.maker_allows_low_stretch.then_some(true),
    }
}

/// One bow from two descriptions of it: what one leaves open the other says. The names of the
/// fields that `more` added to `known` come with it.
///
/// # Errors
/// The first field of which the two say different things.
pub fn put_together(
    known: &BowProfile,
    more: &BowProfile,
) -> Result<(BowProfile, Vec<&'static str>), &'static str> {
    let (both, added) = said_by(more).applied_to(known);
    // Whatever `known` says still has to stand.
    match said_by(known).applied_to(&both).1.first() {
        Some(field) => Err(field),
        None => Ok((both, added)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn recurve(marked: f64) -> BowProfile {
        BowProfile {
            kind: BowKind::Recurve,
            marked_length: Length::try_from_inches(marked),
            ..BowProfile::default()
        }
    }

    #[test]
    fn bows_are_alike_by_kind_and_marked_length_that_are_known() {
        assert!(are_alike(&recurve(62.0), &BowProfile { year: Some(1990), ..recurve(62.0) }));
        assert!(!are_alike(&recurve(62.0), &recurve(64.0)));
        let unknown = BowProfile { kind: BowKind::Unknown, ..recurve(62.0) };
        assert!(!are_alike(&unknown, &unknown));
        let unmarked = BowProfile { marked_length: None, ..recurve(62.0) };
        assert!(!are_alike(&unmarked, &unmarked));
    }

    #[test]
    fn what_one_leaves_open_the_other_says_and_a_contradiction_is_named() {
        let known = BowProfile { tips: Tips::Plain, ..recurve(62.0) };
        let more = BowProfile { year: Some(1990), kind: BowKind::Unknown, ..recurve(62.0) };
        let (both, added) = put_together(&known, &more).unwrap();
        assert_eq!(both, BowProfile { year: Some(1990), ..known.clone() });
        assert_eq!(added, ["bow_year"]);
        assert_eq!(put_together(&known, &BowProfile::default()), Ok((known.clone(), Vec::new())));
        assert_eq!(
            put_together(&known, &BowProfile { tips: Tips::Reinforced, ..recurve(62.0) }),
            Err("tips")
        );
    }
}
