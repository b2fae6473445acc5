//! Random books in which things were noted by mistake and struck say what the same books say in which
//! they were never noted: verdicts, standings, learning, month, spools. Numbers, lines of the
//! history, what is shown struck through, and the day of the last step are exempt. While a mistake
//! stands nothing else is done to its string, and verdicts are worked out on that one alone: that one
//! was worked out meanwhile on another string stays a step of its report (tests/all/strikes.rs has
//! what becomes of the verdict).

use std::collections::BTreeMap;

use serde_json::Value;

use crate::bare_world::{World, text};

/// Numbers by chance, of a seed (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014: SplitMix64).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Strings in the book: two of one bow, and two of bows of their own.
const SERIALS: [&str; 4] = ["S-1", "S-2", "S-3", "S-4"];
/// Stories told.
const CASES: u64 = 16;
/// Days on which something happens.
const DAYS: u32 = 24;

/// A book with the strings, and what the reports are called in it.
struct Told {
    world: World,
    /// Number of each report in the book, by its place in the story.
    numbers: BTreeMap<usize, u64>,
}

/// The book that all stories begin with.
fn beginning() -> World {
    let world = World::new();
    world.ok(&["spool", "add", "L-1", "--yarn", "hmpe"]);
    let bow = "--bow-kind recurve --marked 62 --tips reinforced --brace-range 7-1/2..8";
    for (serial, archer, turns, bow) in
        [("S-1", 1, 22, bow), ("S-2", 1, 24, "--same-bow S-1"), ("S-3", 2, 23, bow), ("S-4", 3, 25, bow)]
    {
        let line = format!(
            "sold add --serial {serial} --archer A{archer} --email a{archer}@example.org {bow} --route marked --stated 62 --yarn hmpe --strands 16 --spool L-1 --turns {turns} --sold-on 2026-01-05"
        );
        world.ok(&line.split_whitespace().collect::<Vec<_>>());
    }
    world
}

impl Told {
    fn of(book: &World) -> Self {
        let world = World::empty();
        std::fs::copy(&book.book, &world.book).unwrap();
        Self { world, numbers: BTreeMap::new() }
    }

    /// Does a line of the story on a day of it; `{3}` stands for the fourth report.
    fn does(&self, day: u32, line: &str) -> Result<String, String> {
        let mut line = line.to_owned();
        for (place, number) in &self.numbers {
            line = line.replace(&format!("{{{place}}}"), &format!("R-{number}"));
        }
        let output = self
            .world
            .command()
            .env("FISTMELE_TODAY", format!("2026-02-{:02}", day + 1))
            .args(line.split_whitespace().map(|word| word.replace('_', " ")))
            .output()
            .unwrap();
        if output.status.success() { Ok(text(&output.stdout)) } else { Err(text(&output.stderr)) }
    }

    fn data(&self, line: &str) -> Value {
        let line = format!("{line} --json");
        let told = self.does(DAYS, &line).unwrap_or_else(|said| panic!("{line}: {said}"));
        serde_json::from_str::<Value>(&told).unwrap()["data"].take()
    }

    fn reports(&mut self, place: usize) {
        let newest = self.data("report list").as_array().unwrap().iter().map(number).max().unwrap();
        self.numbers.insert(place, newest);
    }

    /// Everything that is worked out, with the reports by their places.
    fn says(&self, places: &[usize]) -> BTreeMap<String, String> {
        let mut said = BTreeMap::new();
        let mut ask = |line: String| {
            let mut value = self.data(&line);
            leave_out(&mut value);
            let mut shown = serde_json::to_string_pretty(&value).unwrap();
            for (place, number) in self.numbers.iter().rev() {
                for after in ['"', ' ', '/', ',', ';'] {
                    shown = shown.replace(&format!("R-{number}{after}"), &format!("report {place}{after}"));
                }
            }
            said.insert(line, shown);
        };
        for line in ["report list", "due", "effects", "spool list", "month 2026-01", "month 2026-02"] {
            ask(line.to_owned());
        }
        for serial in SERIALS {
            ask(format!("sold show {serial}"));
            ask(format!("bow show {serial}"));
        }
        for place in places {
            ask(format!("report show {{{place}}}"));
            ask(format!("advise {{{place}}}"));
            ask(format!("report show {{{place}}}"));
        }
        ask("size --route marked --kind recurve --stated 62 --tips reinforced --yarn hmpe --strands 16"
            .to_owned());
        said
    }
}

fn number(report: &Value) -> u64 {
    report["report"].as_str().unwrap().trim_start_matches("R-").parse().unwrap()
}

/// What is exempt: ids of readings, letters as they went out, what is shown struck through.
fn leave_out(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            for key in ["reading", "letters", "struck", "struck_readings", "struck_reports", "since", "days"]
            {
                fields.remove(key);
            }
            fields.values_mut().for_each(leave_out);
        }
        Value::Array(list) => {
            list.iter_mut().for_each(leave_out);
            // A report that came in without a measurement shows none; one whose first was struck, an empty one.
            list.retain(|one| !is_empty_reading(one));
        }
        _ => {}
    }
}

fn is_empty_reading(one: &Value) -> bool {
    one.as_object().is_some_and(|fields| {
        fields.contains_key("brace_inch")
            && fields.iter().all(|(key, value)| {
                value.is_null() || ["taken_on", "turns_changed_total"].contains(&key.as_str())
            })
    })
}

/// A mistake that was made and is to be struck.
struct Mistake {
    /// String, where nothing else happens until it is struck.
    serial: usize,
    /// What is struck, with the signs of danger that are called off.
    strike: String,
}

/// A story told twice: with its mistakes, which are struck, and without them.
struct Story {
    with: Told,
    without: Told,
    /// What happened, for whoever has to see why.
    lines: Vec<String>,
    /// Reports that stand, by string.
    standing: BTreeMap<usize, usize>,
    reports: usize,
    open: Vec<Mistake>,
    /// Strings that were entered by mistake so far, and those of them that are not struck yet.
    strings: usize,
    open_strings: Vec<String>,
}

fn brace(chance: &mut Chance) -> &'static str {
    const READ: [&str; 6] = ["6-7/8", "7-1/8", "7-3/8", "7-5/8", "7-3/4", "8-1/4"];
    READ[chance.below(READ.len())]
}

fn reading(chance: &mut Chance) -> String {
    let turns = chance.of(&["+4", "+9", "+17", "-5"]);
    let symptom = if chance.one_in(3) { " --symptom noisy" } else { "" };
    let shots = if chance.one_in(2) { " --shots 300" } else { "" };
    format!("--turns-changed {turns} --brace {}{symptom}{shots} --no-danger", brace(chance))
}

impl Story {
    fn both(&mut self, day: u32, line: &str) -> bool {
        let done = [self.with.does(day, line), self.without.does(day, line)];
        self.lines.push(format!("{day}: {line}: {}", done[0].is_ok()));
        assert_eq!(done[0].is_ok(), done[1].is_ok(), "{:#?}\n{done:?}", self.lines);
        done[0].is_ok()
    }

    fn by_mistake(&mut self, day: u32, line: &str) {
        self.lines.push(format!("{day}: by mistake: {line}"));
        self.with.does(day, line).unwrap_or_else(|said| panic!("{:#?}: {said}", self.lines));
    }

    /// What happens on a day.
    fn day(&mut self, day: u32, chance: &mut Chance) {
        if chance.one_in(3) && !self.open.is_empty() {
            return self.strike(day, chance);
        }
        let serial = chance.below(SERIALS.len());
        if self.open.iter().any(|mistake| mistake.serial == serial) {
            return;
        }
        let name = SERIALS[serial];
        let Some(place) = self.standing.get(&serial).copied() else {
            let first = format!("report add {name} --symptom brace-low --no-danger --separate");
            let measured = format!("--brace {} --want 7-1/2..8 --shots 150", brace(chance));
            match chance.below(4) {
                0 => self.report_by_mistake(day, serial, chance),
                1 => {
                    let place = self.report(day, serial, &format!("{first} {measured}"), &first);
                    self.open.push(Mistake { serial, strike: format!("{{{place}}}/1") });
                }
                _ => {
                    let line = format!("{first} {measured}");
                    self.report(day, serial, &line, &line);
                }
            }
            return;
        };
        let done = chance.below(9);
        let stands = !self.open.is_empty() || !self.open_strings.is_empty();
        if stands && [1, 2, 5, 6, 7].contains(&done) {
            // A verdict that comes out otherwise because of a mistake elsewhere is a step of its report.
            return;
        }
        match done {
            0 => self.report_by_mistake(day, serial, chance),
            1 | 2 => {
                // A verdict stood before it.
                self.both(day, &format!("advise {{{place}}}"));
                self.by_mistake(day, &format!("reading add {{{place}}} {}", reading(chance)));
                let all = self.with.data(&format!("report show {{{place}}}"))["readings"].take();
                let id = all.as_array().unwrap().last().unwrap()["reading"].as_str().unwrap().to_owned();
                if chance.one_in(2) {
                    self.by_mistake(day, &format!("advise {{{place}}}"));
                }
                self.open.push(Mistake { serial, strike: id });
            }
            3 | 4 => {
                let line = format!("reading add {{{place}}} {}", reading(chance));
                self.both(day, &line);
            }
            5 => {
                self.both(day, &format!("advise {{{place}}}"));
            }
            6 => {
                self.both(day, &format!("letter {{{place}}} --no-danger"));
            }
            7 => {
                self.both(day, &format!("decide {{{place}}} --paid --why dear"));
            }
            _ => {
                // What is settled is a person's word. It is said whole here: what the program would
                // propose comes of all that was noted by that day, mistakes that stood then with it.
                let line = format!(
                    "settle {{{place}}} --cause sizing --outcome adjusted --right-length 57-1/2 --sure"
                );
                if self.both(day, &line) {
                    self.standing.remove(&serial);
                }
            }
        }
    }

    /// A report that stands, told as it was noted at first and as it is once a mistake is struck.
    fn report(&mut self, day: u32, serial: usize, with: &str, without: &str) -> usize {
        let place = self.reports;
        self.lines.push(format!("{day}: report {place}: {with} | {without}"));
        self.with.does(day, with).unwrap_or_else(|said| panic!("{said}"));
        self.without.does(day, without).unwrap_or_else(|said| panic!("{said}"));
        self.with.reports(place);
        self.without.reports(place);
        self.standing.insert(serial, place);
        self.reports += 1;
        place
    }

    fn report_by_mistake(&mut self, day: u32, serial: usize, chance: &mut Chance) {
        let danger = chance.one_in(4);
        let symptom = if danger { "dry-fire" } else { "brace-high" };
        let line = format!(
            "report add {} --symptom {symptom} --brace {} --separate{}",
            SERIALS[serial],
            brace(chance),
            chance.of(&["", " --brace-range 6..6-1/2", " --bow-kind longbow", " --bow-year 1950"])
        );
        self.by_mistake(day, &line);
        let newest = self.with.data("report list").as_array().unwrap().iter().map(number).max().unwrap();
        for line in ["reading add", "advise"] {
            if chance.one_in(2) {
                let more = if line == "advise" { String::new() } else { reading(chance) };
                let more = if danger { more.replace(" --no-danger", "") } else { more };
                self.by_mistake(day, &format!("{line} R-{newest} {more}"));
            }
        }
        let call_off = if danger { " --call-off dry-fire" } else { "" };
        self.open.push(Mistake { serial, strike: format!("R-{newest}{call_off}") });
    }

    /// A string that was never sold, for a bow that others share or one of its own; at times somebody is
    /// said to have complained of it. Its turns on record teach the usual ones while it stands.
    fn strings_by_mistake(&mut self, day: u32, chance: &mut Chance) {
        if chance.one_in(6) {
            let name = format!("M-{}", self.strings);
            self.strings += 1;
            let route = chance.of(&["--route marked --stated 62", "--route unknown"]);
            let bow = chance.of(&[
                "--archer A9 --bow-kind recurve --marked 64",
                "--same-bow S-1",
                "--same-bow S-3",
            ]);
            let turns = chance.of(&["", "--turns 14", "--turns 31"]);
            self.by_mistake(
                day,
                &format!(
                    "sold add --serial {name} {bow} {route} {turns} --yarn hmpe --strands 16 --spool L-1 --sold-on 2026-01-10"
                ),
            );
            if chance.one_in(2) {
                self.by_mistake(
                    day,
                    &format!(
                        "report add {name} --symptom brace-low --no-danger --brace {} --shots 200",
                        brace(chance)
                    ),
                );
                let newest =
                    self.with.data("report list").as_array().unwrap().iter().map(number).max().unwrap();
                // What it reads after turns teaches of the bow.
                self.by_mistake(day, &format!("advise R-{newest}"));
                self.by_mistake(
                    day,
                    &format!(
                        "reading add R-{newest} --turns-changed +6 --brace {} --no-danger",
                        brace(chance)
                    ),
                );
                self.by_mistake(day, &format!("settle R-{newest} --sure"));
            }
            self.open_strings.push(name);
        } else if chance.one_in(2) && !self.open_strings.is_empty() {
            let name = self.open_strings.remove(chance.below(self.open_strings.len()));
            self.by_mistake(day, &format!("strike {name} --why a_slip"));
        }
    }

    fn strike(&mut self, day: u32, chance: &mut Chance) {
        let mistake = self.open.remove(chance.below(self.open.len()));
        let line = format!("strike {} --why a_slip", mistake.strike);
        self.by_mistake(day, &line);
    }

    fn ends(&mut self, chance: &mut Chance) {
        while !self.open.is_empty() {
            self.strike(DAYS, chance);
        }
        for name in std::mem::take(&mut self.open_strings) {
            self.by_mistake(DAYS, &format!("strike {name} --why a_slip"));
        }
    }
}

fn told(seed: u64, book: &World) -> Story {
    let chance = &mut Chance(seed);
    let mut story = Story {
        with: Told::of(book),
        without: Told::of(book),
        lines: Vec::new(),
        standing: BTreeMap::new(),
        reports: 0,
        open: Vec::new(),
        strings: 0,
        open_strings: Vec::new(),
    };
    // Strings that were never sold come and go beside all that, by a chance of their own.
    let slips = &mut Chance(seed ^ 0xf0f0);
    for day in 0..DAYS {
        story.day(day, chance);
        story.strings_by_mistake(day, slips);
    }
    story.ends(chance);
    story
}

fn assert_same(
    one: &BTreeMap<String, String>,
    other: &BTreeMap<String, String>,
    seed: u64,
    lines: &[String],
) {
    for (line, said) in one {
        let differing: Vec<(&str, &str)> =
            said.lines().zip(other[line].lines()).filter(|(one, other)| one != other).collect();
        assert!(said == &other[line], "seed {seed}, {line}: {differing:#?}\nof {lines:#?}");
    }
}

#[test]
fn a_book_with_struck_mistakes_says_what_it_would_say_without_them() {
    let book = beginning();
    let mut struck = 0;
    for seed in 0..CASES {
        let story = told(seed, &book);
        let places: Vec<usize> = (0..story.reports).collect();
        assert_same(&story.with.says(&places), &story.without.says(&places), seed, &story.lines);
        struck += story.lines.iter().filter(|line| line.contains("strike")).count();
        story.with.world.assert_sound();
    }
    assert!(struck as u64 > CASES, "only {struck} things were struck");
}

#[test]
fn what_is_struck_and_brought_back_is_as_before() {
    let book = beginning();
    let mut tried = 0;
    for seed in 0..CASES {
        let mut story = told(seed, &book);
        let chance = &mut Chance(seed ^ 0xffff);
        let places: Vec<usize> = (0..story.reports).collect();
        if places.is_empty() {
            continue;
        }
        // The first time, verdicts are stored that were not there yet.
        story.with.says(&places);
        let before = story.with.says(&places);
        for _ in 0..3 {
            let place = *chance.of(&places);
            let shown = story.with.data(&format!("report show {{{place}}}"));
            let readings: Vec<&str> = shown["readings"]
                .as_array()
                .unwrap()
                .iter()
                .filter_map(|one| one["reading"].as_str())
                .collect();
            let id = if readings.is_empty() || chance.one_in(3) {
                format!("{{{place}}}")
            } else {
                (*chance.of(&readings)).to_owned()
            };
            if story.with.does(DAYS, &format!("strike {id} --why a_slip")).is_ok() {
                story.lines.push(format!("{id} struck and brought back"));
                story.with.does(DAYS, &format!("unstrike {id}")).unwrap();
                tried += 1;
            }
        }
        assert_same(&before, &story.with.says(&places), seed, &story.lines);
    }
    assert!(tried > CASES / 2, "only {tried} things were struck and brought back");
}
