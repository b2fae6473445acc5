//! Which quiet archers to ask whether their string fits.

use super::calendar::Month;

/// A string younger than this has hardly been shot, days (judgement, no source).
pub const YOUNGEST_DAYS: u32 = 10;
/// Of so many questions one is drawn purely by lot, so that no route is never asked.
const BY_LOT: usize = 4;

/// A string whose archer could be asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate<'a> {
    /// The string's serial; it decides the draw.
    pub serial: &'a str,
    /// Who it went to; one archer is asked about one string only.
    pub archer: &'a str,
    /// Days from delivery to the look.
    pub age_days: u32,
    /// Whether a report has come in.
    pub reported: bool,
    /// Whether its archer has been asked before.
    pub asked_before: bool,
    /// What an answer is worth, in any unit; see [`worth`].
    pub worth: f64,
}

/// What an answer about a quiet string is worth.
///
/// What: doubt x strings a year x (1 - q F) (E28). Symbols: doubt variance of what is known of the
/// mean error of its route and kind of bow, square inches; q told share, F share of complaints that
/// would be in: what its silence has already told. Assumptions: one answer lessens the doubt in
/// proportion to it. Valid range: not below 0. Source: judgement.
#[must_use]
pub fn worth(doubt: f64, strings_a_year: f64, told_share: f64, shown: f64) -> f64 {
    (doubt * strings_a_year * (1.0 - told_share * shown)).max(0.0)
}

/// A string that was drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Its place among the candidates.
    pub place: usize,
    /// Purely by lot, not by what an answer is worth.
    pub by_lot: bool,
    /// Chance that it was drawn one way or the other.
    pub chance: f64,
}

/// The strings to ask about, in the order drawn.
///
/// What: of four questions three are drawn by what an answer is worth, the fourth purely by lot (E23),
/// both from hashes of month and serial: smallest -ln(u)/worth, and smallest u. The chance of being
/// drawn is 1 - (1 - w/W)^a (1 - 1/N)^b. Symbols: u hash as a number in 0..1; w worth of the string, W
/// of all N that could be asked, a drawn by worth, b by lot. Assumptions: serials say nothing about how a string fits, so that the draw is as
/// good as random; it looks at nothing but route, kind of bow, age and silence, which the likelihood
/// knows of every string too (E17), so that an answer needs no weight there; where answers of all
/// routes are put together it has one (E19). The chance leaves out that nobody is drawn twice, which
/// shows where more than one in ten is asked. The tool draws, not the
/// staff, or pleasant archers would be asked more often. Valid range: strings of 10 days and more;
/// fewer than wanted where there are not enough. Source: Efraimidis & Spirakis 2006, Information
/// Processing Letters 97 (from memory); hash sampling with FNV-1a (Fowler, Noll & Vo) and the
/// finishing steps of SplitMix64 (Steele, Lea & Flood 2014). The same month always draws the same
/// strings, another month other ones.
#[must_use]
pub fn choose_to_ask(candidates: &[Candidate<'_>], month: Month, how_many: usize) -> Vec<Drawn> {
    let open: Vec<usize> = candidates
        .iter()
        .enumerate()
        .filter(|(_, c)| !c.reported && !c.asked_before && c.age_days >= YOUNGEST_DAYS)
        .map(|(place, _)| place)
        .collect();
    let by_lot_in_all = how_many / BY_LOT;
    let worth_of = |place: usize| candidates[place].worth.max(f64::MIN_POSITIVE);
    let all: f64 = open.iter().map(|place| worth_of(*place)).sum();
    let chance = |place: usize| {
        let missed_by_worth = (1.0 - worth_of(place) / all).powf((how_many - by_lot_in_all) as f64);
        let missed_by_lot = (1.0 - 1.0 / open.len() as f64).powf(by_lot_in_all as f64);
        // Whoever was drawn had some chance, however small.
        (1.0 - missed_by_worth * missed_by_lot).clamp(1e-9, 1.0)
    };
    // Half a step off both ends, so that no logarithm is of nothing.
    let lot_of = |place: usize, salt: &str| {
        (lot(month, salt, candidates[place].serial) as f64 + 0.5) / 18_446_744_073_709_551_616.0
    };
    let order = |key: &dyn Fn(usize) -> f64| {
        let mut order: Vec<(f64, usize)> = open.iter().map(|place| (key(*place), *place)).collect();
        order.sort_by(|a, b| {
            a.0.total_cmp(&b.0).then_with(|| candidates[a.1].serial.cmp(candidates[b.1].serial))
        });
        order.into_iter().map(|(_, place)| place).collect::<Vec<usize>>()
    };
    let by_worth = order(&|place| -lot_of(place, "worth").ln() / worth_of(place));
    let by_lot = order(&|place| lot_of(place, ""));
    let (mut by_worth, mut by_lot) = (by_worth.into_iter(), by_lot.into_iter());
    let mut archers = std::collections::BTreeSet::new();
    let mut chosen = Vec::new();
    while chosen.len() < how_many {
        let is_by_lot = (chosen.len() + 1) % BY_LOT == 0;
        let from = if is_by_lot { &mut by_lot } else { &mut by_worth };
        let Some(place) = from.find(|place| !archers.contains(candidates[*place].archer)) else { break };
        archers.insert(candidates[place].archer);
        chosen.push(Drawn { place, by_lot: is_by_lot, chance: chance(place) });
    }
    chosen
}

/// A number that looks random but depends on month and serial alone.
fn lot(month: Month, salt: &str, serial: &str) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let year = month.year().to_le_bytes();
    let number = month.number().to_le_bytes();
    for byte in year.iter().chain(&number).chain(salt.as_bytes()).chain(serial.as_bytes()) {
        hash = (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
    // Serials that differ in their last figure would otherwise stay neighbours.
    hash = (hash ^ (hash >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    hash = (hash ^ (hash >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    hash ^ (hash >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn serials(count: usize) -> Vec<String> {
        (1..=count).map(|n| format!("S-{n}")).collect()
    }

    fn candidates(serials: &[String]) -> Vec<Candidate<'_>> {
        serials
            .iter()
            .map(|serial| Candidate {
                serial,
                archer: serial,
                age_days: 120,
                reported: false,
                asked_before: false,
                worth: 1.0,
            })
            .collect()
    }

    fn march() -> Month {
        Month::new(2025, 3).unwrap()
    }

    #[test]
    fn the_same_month_draws_the_same_five_and_the_next_month_others() {
        let serials = serials(200);
        let list = candidates(&serials);
        let march_draw = choose_to_ask(&list, march(), 5);
        assert_eq!(march_draw.len(), 5);
        assert_eq!(march_draw, choose_to_ask(&list, march(), 5));
        assert_ne!(march_draw, choose_to_ask(&list, march().plus(1), 5));
    }

    #[test]
    fn the_draw_does_not_depend_on_the_order_of_the_list() {
        let serials = serials(50);
        let mut list = candidates(&serials);
        let pick = |list: &[Candidate<'_>]| -> Vec<String> {
            choose_to_ask(list, march(), 5).into_iter().map(|d| list[d.place].serial.to_owned()).collect()
        };
        let there = pick(&list);
        list.reverse();
        assert_eq!(there, pick(&list));
    }

    #[test]
    fn only_quiet_and_unasked_strings_that_were_shot_are_drawn() {
        let serials = serials(4);
        let mut list = candidates(&serials);
        list[0].age_days = 9;
        list[1].reported = true;
        list[2].asked_before = true;
        let drawn = choose_to_ask(&list, march(), 5);
        assert_eq!(drawn.iter().map(|drawn| drawn.place).collect::<Vec<_>>(), [3]);
        assert!((drawn[0].chance - 1.0).abs() < 1e-12, "who is alone is drawn for sure");
    }

    #[test]
    fn three_of_four_are_drawn_by_worth_and_the_fourth_by_lot() {
        let serials = serials(200);
        let mut list = candidates(&serials);
        // Ten strings tell a thousand times as much as the others.
        for candidate in &mut list[..10] {
            candidate.worth = 1000.0;
        }
        let (mut of_worth, mut drawn) = (0, 0);
        for step in 0..100 {
            for (order, found) in choose_to_ask(&list, march().plus(step), 4).into_iter().enumerate() {
                of_worth += u32::from(found.place < 10);
                drawn += 1;
                assert_eq!(found.by_lot, order == 3);
            }
        }
        // Three of four nearly always, the fourth one time in twenty.
        assert_eq!(drawn, 400);
        assert!((290..=325).contains(&of_worth), "{of_worth}");
        for candidate in &mut list {
            candidate.worth = 0.0;
        }
        assert_eq!(
            choose_to_ask(&list, march(), 5).len(),
            5,
            "where no answer is worth anything the lot decides"
        );
    }

    #[test]
    fn the_chance_that_is_kept_is_how_often_a_string_is_drawn() {
        let serials = serials(100);
        let mut list = candidates(&serials);
        for candidate in &mut list[..10] {
            candidate.worth = 5.0;
        }
        // Sums of the inverse chances of those drawn count everybody once a month.
        let months = 2000;
        let (mut dear, mut cheap) = (0.0, 0.0);
        for step in 0..months {
            for drawn in choose_to_ask(&list, march().plus(step), 8) {
                *(if drawn.place < 10 { &mut dear } else { &mut cheap }) += 1.0 / drawn.chance;
            }
        }
        let (dear, cheap) = (dear / f64::from(months), cheap / f64::from(months));
        assert!((dear - 10.0).abs() < 1.0 && (cheap - 90.0).abs() < 6.0, "{dear} {cheap}");
    }

    #[test]
    fn a_young_string_of_a_doubtful_route_is_worth_most() {
        let young = worth(0.01, 100.0, 0.9, 0.6);
        assert!(young > worth(0.01, 100.0, 0.9, 1.0) && young > worth(0.001, 100.0, 0.9, 0.6));
        assert!((worth(0.01, 100.0, 1.0, 1.0)).abs() < 1e-15);
    }

    #[test]
    fn an_archer_with_many_strings_is_asked_once() {
        let serials = serials(30);
        let mut list = candidates(&serials);
        for candidate in &mut list {
            candidate.archer = "one";
        }
        assert_eq!(choose_to_ask(&list, march(), 5).len(), 1);
    }

    #[test]
    fn nobody_to_ask_is_an_empty_draw() {
        assert!(choose_to_ask(&[], march(), 5).is_empty());
        let serials = serials(9);
        assert!(choose_to_ask(&candidates(&serials), march(), 0).is_empty());
    }

    #[test]
    fn every_string_is_drawn_about_as_often_as_another() {
        // 100 strings, 5 a month, 400 months: 20 draws each on average, sd 4.4.
        let serials = serials(100);
        let list = candidates(&serials);
        let mut times = [0_u32; 100];
        for step in 0..400 {
            for drawn in choose_to_ask(&list, march().plus(step), 5) {
                times[drawn.place] += 1;
            }
        }
        assert!(times.iter().all(|t| (4..=40).contains(t)), "{times:?}");
    }
}
