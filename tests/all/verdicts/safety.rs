//! Safety comes before everything else.

use super::language::{compare, told};
use fistmele::trade::advice::{Caution, Reason};
use fistmele::trade::strength::Missing;

#[test]
fn danger_stops_whatever_else_is_said() {
    compare(&[
        ("a broken strand", ": broken-strand brace=7.75", "stop cause=unknown build=58.5 of=hmpe"),
        ("cut fibres", ": frayed brace=7.75", "stop cause=unknown build=58.5 of=hmpe"),
        ("a dry fire", ": dry-fire brace=7.75", "stop cause=unknown build=58.5 of=hmpe"),
        ("a damaged bow needs no new string", ": bow-damage brace=7.75", "stop cause=bow"),
        (
            "a photo that shows damage",
            ": noisy brace=7.75 photo=damaged",
            "stop cause=unknown build=58.5 of=hmpe",
        ),
        ("a broken strand without any reading", ": broken-strand", "stop cause=unknown build=58.5 of=hmpe"),
        (
            "a broken strand beside a low brace: the new one comes right",
            ": broken-strand brace-low brace=7.25",
            "stop cause=unknown build=58.125 of=hmpe",
        ),
        (
            "a broken strand beside harmless tags",
            ": loose-tags broken-strand brace=7.75",
            "stop cause=unknown build=58.5 of=hmpe",
        ),
        (
            "a dry fire beside signs of the bow",
            ": dry-fire sign=bow",
            "stop cause=unknown build=58.5 of=hmpe",
        ),
        ("danger before upside down", ": frayed marker=down", "stop cause=unknown build=58.5 of=hmpe"),
        (
            "a broken strand on a tender bow comes back in polyester",
            "tips=plain : broken-strand brace=7.75",
            "stop cause=unknown build=58.5 of=polyester",
        ),
        (
            "danger of a report that is still open stands",
            ": broken-strand / brace-low brace=7.25",
            "stop cause=unknown build=58.125 of=hmpe",
        ),
        (
            "danger of a settled report is over",
            ": broken-strand settled / brace-low brace=7.25",
            "adjust in cause=sizing",
        ),
    ]);
}

#[test]
fn few_turns_let_a_splice_slip() {
    // The window of this string begins at 23 turns: half of it is 11.5.
    compare(&[
        (
            "eleven turns on record",
            "turns=11 : brace-low brace=7.25",
            "stop cause=workshop build=58.125 of=hmpe",
        ),
        ("twelve turns are enough not to stop", "turns=12 : brace-low brace=7.25", "adjust in cause=sizing"),
        (
            "taken out by the archer",
            ": brace-high brace=8.25 put=-13",
            "stop cause=handling build=59.25 of=hmpe",
        ),
        ("taken out as far as half the least", ": brace-high brace=7.75 put=-12", "reassure cause=unknown"),
        (
            "a count on the body stands against the record",
            ": brace-low brace=7.25 count=2 over=10",
            "stop cause=workshop build=58.375 of=hmpe",
        ),
        (
            "on a mere guess the turns are counted first",
            "turns=- : brace-high brace=7.75 put=-20",
            "ask=turns-count cause=unknown",
        ),
        (
            "a guess of the usual number is no reason to stop",
            "turns=- : brace-high brace=7.75",
            "reassure cause=unknown",
        ),
    ]);
}

#[test]
fn low_stretch_yarn_stays_off_tender_bows() {
    compare(&[
        ("plain tips", "tips=plain : noisy brace=7.75", "stop cause=yarn-choice build=58.5 of=polyester"),
        ("wood alone", "stave=wood : noisy brace=7.75", "stop cause=yarn-choice build=58.5 of=polyester"),
        (
            "thirty years old",
            "year=1996 : noisy brace=7.75",
            "stop cause=yarn-choice build=58.5 of=polyester",
        ),
        ("twenty-nine years old", "year=1997 : noisy brace=7.75", "reassure cause=unknown"),
        (
            "the workshop's own age",
            "vintage.years=20 year=2006 : noisy brace=7.75",
            "stop cause=yarn-choice build=58.5 of=polyester",
        ),
        (
            "old, but reinforced",
            "year=1980 tips=reinforced : brace-low brace=7.25",
            "stop cause=yarn-choice build=58.125 of=polyester",
        ),
        (
            "low-stretch blend likewise",
            "yarn=hmpe-lcp tips=plain : noisy brace=7.75",
            "stop cause=yarn-choice build=58.5 of=polyester",
        ),
        (
            "a light bow stretches polyester less than the load does, so it is built longer",
            "weight=20 tips=plain : noisy brace=7.75",
            "stop cause=yarn-choice build=58.875 of=polyester",
        ),
        ("the bow's maker allows it", "tips=plain allows=yes : noisy brace=7.75", "reassure cause=unknown"),
        (
            "polyester is for every bow",
            "yarn=polyester tips=plain turns=31 : noisy brace=7.75",
            "reassure cause=unknown",
        ),
        (
            "linen is for every bow",
            "yarn=linen tips=plain turns=31 : noisy brace=7.75",
            "reassure cause=unknown",
        ),
        (
            "nothing is known of the bow",
            "tips=unknown : brace-low brace=7.25",
            "ask=tips,stave,bow-year cause=unknown",
        ),
        (
            "glass speaks for the bow",
            "tips=unknown stave=laminated : brace-low brace=7.25",
            "adjust in cause=sizing",
        ),
        ("a young bow", "tips=unknown year=2015 : brace-low brace=7.25", "adjust in cause=sizing"),
        (
            "an old one",
            "tips=unknown year=1970 : loose-tags",
            "stop cause=yarn-choice build=58.5 of=polyester",
        ),
    ]);
}

#[test]
fn trouble_with_the_bow_is_referred() {
    compare(&[
        ("tiller", ": other sign=bow+", "refer cause=bow"),
        ("creaks beside a low brace", ": brace-low brace=7.25 sign=bow+", "refer cause=bow"),
        ("limb twist beside loose tags", ": loose-tags sign=bow+", "refer cause=bow"),
        (
            "not before somebody has read the words",
            ": brace-low brace=7.25 sign=bow",
            "ask=bow-sound cause=unknown",
        ),
        ("words that were called off", ": brace-low brace=7.25 sign=bow-", "adjust in cause=sizing"),
        (
            "yarn before signs of the bow",
            "tips=plain : noisy brace=7.75 sign=bow+",
            "stop cause=yarn-choice build=58.5 of=polyester",
        ),
    ]);
}

#[test]
fn signs_of_danger_are_asked_about_or_stop() {
    compare(&[
        ("a strand perhaps", ": brace-low brace=7.25 sign=string", "ask=string-sound cause=unknown"),
        (
            "a shot perhaps, and the bow",
            ": brace-low brace=7.25 sign=shot sign=bow",
            "ask=bow-sound,shot-without-arrow cause=unknown",
        ),
        (
            "a strand for sure",
            ": brace-low brace=7.25 sign=string!",
            "stop cause=unknown build=58.125 of=hmpe",
        ),
        (
            "a strand confirmed",
            ": brace-low brace=7.25 sign=string+",
            "stop cause=unknown build=58.125 of=hmpe",
        ),
        ("the bow for sure", ": brace-low brace=7.25 sign=bow!", "stop cause=bow"),
        ("a dry fire called off", ": brace-low brace=7.25 sign=shot!-", "adjust in cause=sizing"),
        (
            "in an earlier report that is open",
            ": other sign=shot / brace-low brace=7.25",
            "ask=shot-without-arrow cause=unknown",
        ),
        (
            "in an earlier report that is settled",
            ": other sign=shot settled / brace-low brace=7.25",
            "adjust in cause=sizing",
        ),
    ]);
}

#[test]
fn every_stop_says_not_to_shoot_and_why() {
    for line in [
        ": broken-strand",
        ": frayed",
        ": dry-fire",
        ": bow-damage",
        "turns=5 : brace-low brace=7.25",
        "tips=plain : noisy brace=7.75",
    ] {
        let advice = told(line).advice();
        assert_eq!(advice.cautions.first(), Some(&Caution::DoNotShoot), "{line}");
        assert!(advice.cautions.contains(&Caution::AskBowyer), "{line}");
        let why = &advice.reasons[0];
        assert!(
            matches!(
                why,
                Reason::Danger { .. } | Reason::SpliceMaySlip { .. } | Reason::LowStretchOnTenderBow { .. }
            ),
            "{line}: {why:?}"
        );
    }
    // Nothing may be shot either while it is asked whether the bow bears the yarn.
    assert!(told("tips=unknown : noisy brace=7.75").advice().cautions.contains(&Caution::DoNotShoot));
}

#[test]
fn a_string_below_four_times_the_draw_weight_is_stopped_before_all_but_danger() {
    compare(&[
        (
            "linen, 6 strands, 70 lb",
            "yarn=linen strands=6 weight=70 : brace-low brace=7.25",
            "stop cause=workshop build=58.125 of=linen",
        ),
        (
            "polyester, 4 strands, 65 lb, and nothing else is wrong",
            "yarn=polyester strands=4 weight=65 : loose-tags brace=7.75",
            "stop cause=workshop build=58.5 of=polyester",
        ),
        (
            "no measurement is asked for first",
            "yarn=polyester strands=4 weight=65 range=- : brace-low",
            "stop cause=workshop build=58.5 of=polyester",
        ),
        (
            "just at the floor is no reason to stop",
            "yarn=polyester strands=4 weight=50 turns=- : loose-tags brace=7.75",
            "reassure cause=cosmetic",
        ),
        (
            "danger is said before it",
            "yarn=polyester strands=4 weight=65 : broken-strand brace=7.75",
            "stop cause=unknown build=58.5 of=polyester",
        ),
        (
            "signs of the bow do not hide it",
            "yarn=polyester strands=4 weight=65 : brace-low brace=7.25 sign=bow+",
            "stop cause=workshop build=58.125 of=polyester",
        ),
        (
            "a tender bow gets its new string of polyester",
            "strands=2 weight=65 tips=plain : brace-low brace=7.25",
            "stop cause=workshop build=57.875 of=polyester",
        ),
        (
            "without a draw weight nothing is refused",
            "yarn=linen strands=6 turns=40 : loose-tags brace=7.75",
            "reassure cause=cosmetic",
        ),
        (
            "a figure of the workshop's own counts",
            "yarn=linen strands=12 weight=70 turns=40 strength.linen=30 : loose-tags brace=7.75",
            "reassure cause=cosmetic",
        ),
    ]);
}

#[test]
fn what_is_known_of_the_strength_is_said_in_every_verdict() {
    let reasons = |line: &str| told(line).advice().reasons;
    let not_checked = |line: &str| {
        reasons(line).into_iter().find_map(|reason| match reason {
            Reason::StrengthNotChecked { missing } => Some(missing),
            _ => None,
        })
    };
    for said in
        [": brace-low brace=7.25", ": loose-tags", ": brace-low", ": broken-strand", ": noisy sign=bow+"]
    {
        assert_eq!(not_checked(said), Some(vec![Missing::DrawWeight]), "{said}");
        assert_eq!(not_checked(&format!("weight=40 {said}")), None, "{said}");
    }
    assert_eq!(
        not_checked("weight=40 strands=- yarn=unknown : loose-tags"),
        Some(vec![Missing::Strands, Missing::Yarn])
    );
    let weak = reasons("strands=2 weight=65 : broken-strand brace=7.75");
    assert!(weak.iter().any(|reason| matches!(reason, Reason::TooWeak { .. })), "{weak:?}");
    // The turns of a string with other strands are not those of this one.
    let stopped = told("strands=2 weight=65 : brace-low brace=7.25").advice();
    assert!(stopped.remake_length.is_some() && stopped.remake_turns.is_none());
    let own = reasons("yarn=linen strands=12 weight=70 turns=40 strength.linen=30 : loose-tags brace=7.75");
    assert!(own.iter().any(|reason| matches!(reason, Reason::OwnStrength { .. })), "{own:?}");
}
