//! What is cosmetic, what is mended, and which end is up.

use super::language::{compare, told};
use fistmele::trade::advice::Reason;

#[test]
fn cosmetic_trouble_is_no_trouble() {
    compare(&[
        ("loose tags alone", ": loose-tags", "reassure cause=cosmetic"),
        ("fuzz alone", ": fuzzy", "reassure cause=cosmetic"),
        ("both", ": loose-tags fuzzy", "reassure cause=cosmetic"),
        ("loose tags and a good brace height", ": loose-tags brace=7.75", "reassure cause=cosmetic"),
        ("loose tags and a low brace height", ": loose-tags brace=7.25", "adjust in cause=sizing"),
        (
            "loose tags and a complaint of fit",
            ": loose-tags brace-low",
            "ask=brace,string-length cause=unknown",
        ),
    ]);
}

#[test]
fn serving_and_loops_are_made_good() {
    compare(&[
        ("a gap in the serving", ": serving-gap", "mend cause=workshop"),
        ("a loose serving", ": serving-loose", "mend cause=workshop"),
        ("nocks too tight", ": nock-fit", "mend cause=workshop"),
        ("a loop too small", ": loop-fit", "mend cause=workshop"),
        ("a gap beside loose tags", ": loose-tags serving-gap", "mend cause=workshop"),
        ("a gap with a good brace height", ": serving-gap brace=7.75", "mend cause=workshop"),
        ("a gap with a low brace height: fit first", ": serving-gap brace=7.25", "adjust in cause=sizing"),
    ]);
    // What is beside the fit is answered all the same.
    let reasons = told(": serving-gap brace=7.25").advice().reasons;
    assert!(reasons.iter().any(|reason| matches!(reason, Reason::MadeGood { .. })), "{reasons:?}");
}

#[test]
fn kinks_and_wrong_orders_want_a_photo() {
    compare(&[
        ("a kink", ": kinked", "ask=photo,turns-count cause=unknown"),
        ("a kink without cut fibres", ": kinked photo=sound", "reassure cause=handling"),
        ("a kink with cut fibres", ": kinked photo=damaged", "stop cause=unknown build=58.5 of=hmpe"),
        ("a snarl of far too many turns", "turns=55 : kinked", "adjust out ask=brace cause=handling"),
        ("not as ordered", ": not-as-ordered", "ask=photo cause=unknown"),
        (
            "not as ordered, and so it is",
            ": not-as-ordered photo=differs",
            "remake cause=workshop build=58.5 of=hmpe",
        ),
        ("not as ordered, but it is", ": not-as-ordered photo=sound", "reassure cause=unknown"),
        ("anything else", ": other", "ask=brace,photo cause=unknown"),
    ]);
}

#[test]
fn upside_down_is_turned_round() {
    compare(&[
        (
            "the marker points down",
            ": brace-low brace=7.25 marker=down",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
        (
            "the marker points down, nothing else",
            ": serving-place marker=down",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
        (
            "the serving an inch above the middle",
            ": serving-place serving=1",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
        (
            "the serving an inch above beside a low brace",
            ": brace-low brace=7.25 serving=1",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
        (
            "as far above as it was built below",
            "serving-built=-0.5 : serving-place serving=0.5",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
        ("a little above the middle", ": serving-place serving=0.375", "ask=which-way-up cause=unknown"),
        ("where it was built", ": serving-place serving=-1", "reassure cause=cosmetic"),
        ("half an inch off is as built", ": serving-place serving=-1.5", "reassure cause=cosmetic"),
        ("too low", ": serving-place serving=-1.75", "mend cause=workshop"),
        ("above, but the marker is up", ": serving-place serving=1 marker=up", "mend cause=workshop"),
        ("not measured", ": serving-place", "ask=which-way-up cause=unknown"),
        ("not measured, but the marker is up", ": serving-place marker=up", "mend cause=unknown"),
        ("a nocking point", ": nocking-point", "ask=which-way-up cause=unknown"),
        (
            "a nocking point with the marker up is set anew",
            ": nocking-point marker=up",
            "reassure cause=handling",
        ),
        (
            "turned round and read again",
            ": brace-low brace=7.25 marker=down > brace=7.75 marker=up",
            "reassure cause=unknown",
        ),
        (
            "turned round, a serving in the wrong place is explained",
            ": serving-place marker=down > marker=up brace=7.75",
            "reassure cause=unknown",
        ),
        (
            "turned round, but not measured again",
            ": serving-place marker=down > marker=up",
            "ask=brace,photo cause=unknown",
        ),
        (
            "cosmetic does not hide it",
            ": loose-tags marker=down",
            "adjust flip ask=which-way-up,brace cause=handling",
        ),
    ]);
    let advice = told(": serving-place serving=1").advice();
    assert!(matches!(advice.reasons[0], Reason::ServingHigh { .. }));
    assert_eq!(advice.turns, None, "first it is turned round, then it is measured");
}
