//! Which quiet archers to ask whether their string fits.

use super::calendar::Month;
use super::reporting_delay::ReportingDelay;

/// Archers to ask in a month.
pub const QUESTIONS_A_MONTH: usize = 5;
/// A string is ripe for a question when this share of its complaints would be in.
pub const RIPE_SHARE: f64 = 0.9;

/// A string whose archer could be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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
}

/// Places in `candidates` of the strings to ask about, in the order drawn.
///
/// What: the ripe, quiet, unasked strings with the smallest hash of month and serial (E23).
/// Symbols: none. Assumptions: serials say nothing about how a string fits, so that the draw is as
/// good as random; the tool draws, not the staff, or pleasant archers would be asked more often.
/// Valid range: any list; fewer than wanted where there are not enough. Source: hash sampling with
/// FNV-1a (Fowler, Noll & Vo) and the finishing steps of SplitMix64 (Steele, Lea & Flood 2014).
/// The same month always draws the same strings, another month other ones.
#[must_use]
pub fn choose_to_ask(
    candidates: &[Candidate<'_>],
    curve: &ReportingDelay,
    month: Month,
    how_many: usize,
) -> Vec<usize> {
    let mut drawn: Vec<(u64, &str, usize)> = candidates
        .iter()
        .enumerate()
        .filter(|(_, c)| !c.reported && !c.asked_before && curve.share_by(c.age_days) >= RIPE_SHARE)
        .map(|(place, c)| (lot(month, c.serial), c.serial, place))
        .collect();
    drawn.sort_unstable();
    let mut archers = std::collections::BTreeSet::new();
    drawn
        .into_iter()
        .filter(|(_, _, place)| archers.insert(candidates[*place].archer))
        .map(|(_, _, place)| place)
        .take(how_many)
        .collect()
}

/// A number that looks random but depends on month and serial alone.
fn lot(month: Month, serial: &str) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let year = month.year().to_le_bytes();
    let number = month.number().to_le_bytes();
    for byte in year.iter().chain(&number).chain(serial.as_bytes()) {
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
        let curve = ReportingDelay::default();
        let march_draw = choose_to_ask(&list, &curve, march(), QUESTIONS_A_MONTH);
        assert_eq!(march_draw.len(), 5);
        assert_eq!(march_draw, choose_to_ask(&list, &curve, march(), 5));
        assert_ne!(march_draw, choose_to_ask(&list, &curve, march().plus(1), 5));
    }

    #[test]
    fn the_draw_does_not_depend_on_the_order_of_the_list() {
        let serials = serials(50);
        let mut list = candidates(&serials);
        let curve = ReportingDelay::default();
        let pick = |list: &[Candidate<'_>]| -> Vec<String> {
            choose_to_ask(list, &curve, march(), 5)
                .into_iter()
                .map(|place| list[place].serial.to_owned())
                .collect()
        };
        let there = pick(&list);
        list.reverse();
        assert_eq!(there, pick(&list));
    }

    #[test]
    fn only_ripe_quiet_and_unasked_strings_are_drawn() {
        let serials = serials(4);
        let mut list = candidates(&serials);
        list[0].age_days = 30;
        list[1].reported = true;
        list[2].asked_before = true;
        let drawn = choose_to_ask(&list, &ReportingDelay::default(), march(), 5);
        assert_eq!(drawn, [3]);
    }

    #[test]
    fn an_archer_with_many_strings_is_asked_once() {
        let serials = serials(30);
        let mut list = candidates(&serials);
        for candidate in &mut list {
            candidate.archer = "one";
        }
        assert_eq!(choose_to_ask(&list, &ReportingDelay::default(), march(), 5).len(), 1);
    }

    #[test]
    fn nobody_to_ask_is_an_empty_draw() {
        let curve = ReportingDelay::default();
        assert!(choose_to_ask(&[], &curve, march(), 5).is_empty());
        let serials = serials(9);
        assert!(choose_to_ask(&candidates(&serials), &curve, march(), 0).is_empty());
    }

    #[test]
    fn every_string_is_drawn_about_as_often_as_another() {
        // 100 strings, 5 a month, 400 months: 20 draws each on average, sd 4.4.
        let serials = serials(100);
        let list = candidates(&serials);
        let mut times = [0_u32; 100];
        for step in 0..400 {
            let curve = ReportingDelay::default();
            for place in choose_to_ask(&list, &curve, march().plus(step), 5) {
                times[place] += 1;
            }
        }
        assert!(times.iter().all(|t| (4..=40).contains(t)), "{times:?}");
    }
}
