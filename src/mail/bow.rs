//! What a text says of the bow, and of how the string lies and was measured.

use super::clauses::Sentence;
use super::meaning::Reader;
use super::numbers::Item;
use super::phrases::{Pattern, has_word};
use crate::trade::BowKind;
use crate::trade::words::{LengthAt, Marker, Stave, Tips};

/// A value and the words it was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Mention<T> {
    pub(super) value: T,
    pub(super) start: usize,
    pub(super) end: usize,
}

const TIPS: &[(&str, Tips)] = &[
    ("no|without ?any ?tip overlay|overlays|reinforcement|reinforcements", Tips::Plain),
    ("not|never ?been reinforced", Tips::Plain),
    ("no|without reinforced|strengthened tips|tip|nocks", Tips::Plain),
    ("tips|tip|nocks are|is|have ?still ?been not|never reinforced|strengthened|overlaid", Tips::Plain),
    ("tips|nocks are|is plain|unreinforced|bare", Tips::Plain),
    ("plain|unreinforced|bare|simple wooden|wood tips", Tips::Plain),
    ("plain|unreinforced ?limb tips|tip", Tips::Plain),
    ("tip|tips : plain|unreinforced", Tips::Plain),
    ("tips|tip _ reinforced|strengthened", Tips::Reinforced),
    ("reinforced|strengthened ?limb ?bow tips|tip|nocks", Tips::Reinforced),
    ("tip|tips overlay|overlays|overlayed|overlaid", Tips::Reinforced),
    ("overlays on ?the|both ?limb tips", Tips::Reinforced),
    ("tips _ overlay|overlays", Tips::Reinforced),
    ("overlayed|overlaid tips", Tips::Reinforced),
    ("phenolic|micarta|fibreglass|fiberglass|antler|horn tips|overlays", Tips::Reinforced),
    ("tips|tip are|is ?made ?of phenolic|micarta|fibreglass|fiberglass", Tips::Reinforced),
    ("plain tips", Tips::Plain),
    ("flemish|fast ready|safe|compatible tips", Tips::Reinforced),
];

const STAVES: &[(&str, Stave)] = &[
    ("all|only|pure|solid|just wood|wooden", Stave::Wood),
    ("all|only made ?of wood", Stave::Wood),
    ("wood only|alone", Stave::Wood),
    ("no|without|any ?any glass|fiberglass|fibreglass", Stave::Wood),
    ("one|single piece|stave ?of yew|osage|ash|hickory|elm|wood", Stave::Wood),
    ("yew|osage|ash|hickory|elm|hazel selfbow|self|stave", Stave::Wood),
    ("fiberglass|fibreglass|glass|carbon|glassfibre", Stave::Laminated),
    ("glass|carbon backed|laminated|lams|laminates|laminations|limbs|and|on", Stave::Laminated),
    ("horn bow|belly", Stave::Laminated),
    ("wood|wooden|bamboo|maple|ash _ and|under glass|fiberglass|fibreglass|carbon", Stave::Laminated),
    ("glass laminated", Stave::Laminated),
    ("clear glass", Stave::Laminated),
    ("carbon limbs|bow|layer|layers", Stave::Laminated),
    ("whole|entirely|completely wood|wooden", Stave::Wood),
    ("100 % wood", Stave::Wood),
];

const KINDS: &[(&str, BowKind)] = &[
    ("self bow|bows", BowKind::Selfbow),
    ("selfbow|selfbows", BowKind::Selfbow),
    ("english|victorian|medieval|war longbow|longbows", BowKind::Selfbow),
    ("english|medieval long bow", BowKind::Selfbow),
    ("d section|sectioned|shaped ?english longbow|bow", BowKind::Selfbow),
    ("longbow _ d section", BowKind::Selfbow),
    ("longbow|longbows", BowKind::Longbow),
    ("long bow|bows", BowKind::Longbow),
    ("reflex|deflex ?/ deflex|reflex ?longbow|bow|hybrid", BowKind::ReflexDeflex),
    ("r d longbow|hybrid|bow", BowKind::ReflexDeflex),
    ("hybrid longbow|bow", BowKind::ReflexDeflex),
    ("hybrid long bow", BowKind::ReflexDeflex),
    ("recurve|recurves|recurved", BowKind::Recurve),
    ("olympic ?target recurve|bow", BowKind::LongRiser),
    ("long riser", BowKind::LongRiser),
    ("horsebow|horsebows", BowKind::Horsebow),
    ("horse|horseback bow", BowKind::Horsebow),
    (
        "hungarian|turkish|korean|mongolian|mongol|scythian|manchu|tatar|crimean ?style ?horse bow",
        BowKind::Horsebow,
    ),
];

const MARKERS: &[(&str, Marker)] = &[
    (
        "bigger|larger|big|large|top|wide|wider ?string loop|eye ?is|sits|goes|was|went ?now ?at|on|onto|over|to ?the ?my upper|top",
        Marker::Up,
    ),
    (
        "bigger|larger|big|large|top|wide|wider ?string loop|eye ?is|sits|goes|was|went ?now ?at|on|onto|over|to ?the ?my lower|bottom",
        Marker::Down,
    ),
    (
        "smaller|small|bottom ?string loop|eye ?is|sits|goes|was|went ?now ?at|on|onto|over|to ?the ?my lower|bottom",
        Marker::Up,
    ),
    (
        "smaller|small|bottom ?string loop|eye ?is|sits|goes|was|went ?now ?at|on|onto|over|to ?the ?my upper|top",
        Marker::Down,
    ),
    (
        "marker|mark|tag|flag|marked ?thread ?loop ?end ?is|sits|points|was ?at|on|to ?the top|upper",
        Marker::Up,
    ),
    (
        "marker|mark|tag|flag|marked ?thread ?loop ?end ?is|sits|points|was ?at|on|to ?the bottom|lower",
        Marker::Down,
    ),
    ("marker ?is|points|sits|pointing up|upwards", Marker::Up),
    ("marker ?is|points|sits|pointing down|downwards", Marker::Down),
    ("marker ?is|sits|: up", Marker::Up),
    ("marker ?is|sits|: down", Marker::Down),
    ("string|it ?is|was|on|sits upside down", Marker::Down),
    ("put|strung|installed|mounted _ upside down", Marker::Down),
    ("had _ upside down", Marker::Down),
    ("right|correct way up|round|around", Marker::Up),
    ("larger|bigger|big|large loop up|upwards", Marker::Up),
    ("larger|bigger|big|large loop down|downwards", Marker::Down),
];

const MEASURED: &[(&str, LengthAt)] = &[
    ("under|with hand tension|pull", LengthAt::HandTight),
    ("hand tight|taut|tightened|tension", LengthAt::HandTight),
    ("pulled|pulling|stretched|held|tensioned _ by hand", LengthAt::HandTight),
    ("pulled|pulling|stretched|held|drawn _ tight|taut|straight _ hand|hands", LengthAt::HandTight),
    ("by hand pulled|tight|stretched", LengthAt::HandTight),
    ("pulled|pulling|held ?it ?just tight|taut", LengthAt::HandTight),
    ("under|with _ load|tension", LengthAt::Loaded),
    ("loaded", LengthAt::Loaded),
    ("#lb ?of ?the load|tension|pull", LengthAt::Loaded),
    ("under|at|with ?a ?the ?load|weight|tension ?of #lb", LengthAt::Loaded),
    ("on ?the|a ?my jig|stretcher|winch", LengthAt::Loaded),
    ("tight by hand", LengthAt::HandTight),
    ("not loaded", LengthAt::HandTight),
];

/// Looks through the clauses of a text for words of the bow.
pub(super) struct Bows {
    tips: Vec<(Pattern, Tips)>,
    staves: Vec<(Pattern, Stave)>,
    kinds: Vec<(Pattern, BowKind)>,
    markers: Vec<(Pattern, Marker)>,
    measured: Vec<(Pattern, LengthAt)>,
    pub(super) found: Mentions,
}

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Mentions {
    pub(super) tips: Vec<Mention<Tips>>,
    pub(super) staves: Vec<Mention<Stave>>,
    pub(super) kinds: Vec<Mention<BowKind>>,
    pub(super) markers: Vec<Mention<Marker>>,
    pub(super) measured: Vec<Mention<LengthAt>>,
    /// "laminated" alone, which may be of wood only.
    pub(super) laminated: Option<(usize, usize)>,
    /// A takedown or a riser without its length.
    pub(super) takedown: Option<(usize, usize)>,
}

fn ready<T: Copy>(table: &[(&'static str, T)]) -> Vec<(Pattern, T)> {
    table.iter().map(|&(pattern, value)| (Pattern::new(pattern), value)).collect()
}

impl Bows {
    pub(super) fn new() -> Self {
        Self {
            tips: ready(TIPS),
            staves: ready(STAVES),
            kinds: ready(KINDS),
            markers: ready(MARKERS),
            measured: ready(MEASURED),
            found: Mentions::default(),
        }
    }

    /// Reads a sentence.
    pub(super) fn read(&mut self, sentence: &Sentence<'_>, reader: &Reader) {
        for clause in 0..sentence.clauses.len() {
            let items = sentence.clause(clause);
            let first = items.iter().find_map(Item::word).unwrap_or_default();
            let is_asked = sentence.is_question
                && matches!(
                    first,
                    "is" | "are"
                        | "should"
                        | "would"
                        | "could"
                        | "can"
                        | "do"
                        | "does"
                        | "did"
                        | "was"
                        | "have"
                        | "will"
                        | "which"
                        | "might"
                        | "may"
                );
            // "Could you make a string for my longbow?" says what the bow is.
            if (is_asked && !has_word(items, &["for", "my"]))
                || reader.is_clause_elsewhere(items)
                || reader.is_clause_supposed(items)
            {
                continue;
            }
            collect(&mut self.found.tips, &self.tips, items, false);
            collect(&mut self.found.staves, &self.staves, items, false);
            collect(&mut self.found.kinds, &self.kinds, items, true);
            collect(&mut self.found.markers, &self.markers, items, true);
            collect(&mut self.found.measured, &self.measured, items, true);
            let word = |words: &[&str]| {
                items.iter().find(|item| item.is_any(words)).map(|item| (item.start, item.end))
            };
            let says_glass =
                has_word(items, &["glass", "fiberglass", "fibreglass", "carbon", "wood", "wooden"]);
            if !says_glass {
                self.found.laminated = self.found.laminated.or(word(&["laminated", "laminate"]));
            }
            self.found.takedown = self.found.takedown.or(word(&["takedown", "ilf", "riser"]));
        }
    }
}

/// The values of the longest patterns, from left to right.
fn collect<T: Copy>(
    found: &mut Vec<Mention<T>>,
    patterns: &[(Pattern, T)],
    items: &[Item],
    checks_denial: bool,
) {
    let mut at = 0;
    while at < items.len() {
        let longest = patterns
            .iter()
            .filter_map(|(pattern, value)| pattern.end_at(items, at).map(|end| (end, *value)))
            .reduce(|best, next| if next.0 > best.0 { next } else { best });
        let Some((end, value)) = longest.filter(|(end, _)| *end > at) else {
            at += 1;
            continue;
        };
        let before = items.get(at.saturating_sub(3)..at).unwrap_or_default();
        let is_denied = has_word(before, &["not", "no", "never", "without", "nor"]);
        if !(is_denied && checks_denial)
            && let (Some(first), Some(last)) = (items.get(at), items.get(end - 1))
        {
            // A denial that no pattern knows is left alone.
            if !is_denied || checks_denial {
                found.push(Mention { value, start: first.start, end: last.end });
            }
        }
        at = end;
    }
}
