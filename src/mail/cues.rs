//! The words that say whether what a number says holds.

use super::phrases::{Pattern, all};
use super::topics::{Cue, topic_cues};

/// A wanted value; these reach to the number of their clause whatever stands between.
const WANTED: &[&str] = &[
    "should ?really|probably|normally|actually ?be|have|sit|measure|read|give|come|get|stand|brace|stay|lie",
    "supposed to",
    "meant to",
    "ought to",
    "recommend*|recomend*|reccomend*|reccommend*",
    "suggest*|advise*|advice|allowed|specified|specifies|specification*|spec|specs",
    "maker|bowyer|manufacturer|builder|factory|website|site|manual|book|booklet|sheet|card|catalogue _ says|say|said|sais|sayes|gives|gave|states|stated|lists|wants|quotes|claims|wrote|writes|told|tells|is",
    "maker|makers|bowyer|bowyers|manufacturer|manufacturers range|figure|brace|bracing|spec|window|number",
    "according to",
    "per ?the maker|bowyer|manufacturer",
    "from ?the maker|bowyer|manufacturer",
    "they say|said|recommend|want",
    "you say|said|wrote|recommend|told",
    "he|she says|said|recommends|wants|told",
    "it says",
    "ideal|ideally|optimal|optimum|desired|wanted|required|nominal",
    "must be|have|sit|brace",
    "has|have|had to be",
    "needs|need to be|have|sit|come|get|brace|go",
    "calls|called for",
    "what|that|which i|we|they|he|she ?would want|like|need|wants|aim|prefer|likes",
    "set|written|marked|stamped on ?the bow|limb|limbs",
];

/// Wishes; these reach to a number over small words only.
const WISHES: &[&str] = &[
    "range|window",
    "within",
    "want|wanted|wants|wish",
    "would like|love|prefer",
    "like|prefer|likes|prefers ?it|mine|brace|my|a",
    "need|needs",
    "aim|aiming|aimed for|at",
    "going|looking for",
    "trying to get|reach|have",
    "to get ?it|the ?brace ?height to|up|down|back",
    "bring|bringing it|the ?brace ?height ?up|down|back to",
    "target|goal",
    "maker|bowyer|manufacturer",
    "instead|rather of|than",
    "happy|happiest at|with|around",
];

const BEFORE_NOW: &[&str] = &[
    "used to",
    "original|originally",
    "at first",
    "first",
    "initially|initial",
    "before",
    "previous|previously|formerly|earlier",
    "started|began|start",
    "when ?it ?was new",
    "when it|they arrived|came",
    "out of the packet|box|bag|envelope",
    "last week|month|year|season|summer|winter",
    "yesterday",
    "normally|usually",
    "had been",
    "back then",
    "once",
    "ago",
    "on arrival",
    "in the beginning",
    "day one",
    "down|up|dropped|coming from",
];

const NOW: &[&str] = &[
    "now|currently|today|presently|nowadays|meanwhile|still",
    "at the moment",
    "at present",
    "at this point",
    "right now",
    "after|afterwards|afterward",
    "ended up",
    "down|up|back to|at",
    "dropped|drops|fell|sank|sunk|went|gone|goes|rose|climbed|came|brought|raised|lowered|moved|crept|settled|increased|decreased|changed|jumped|improved|shrunk|dropping _ to|at",
    "dropped|drops|fell|sank|sunk|went|gone|goes|rose|climbed|came|brought|raised|lowered|moved|crept|settled to|at",
    "is|has become",
    "this morning|evening|afternoon|time",
    "latest|final|finally",
    "best i can|could",
    "all i can|get",
    "maximum|max|most i|it",
    "the|your new string|one",
    "this|your|new string|one",
    "then",
];

/// The number is of another bow or another string.
const OTHERS: &[&str] = &[
    "other|another|second|spare bow|bows|string|strings|one|ones|recurve|longbow|selfbow|bowstring",
    "old|older|previous|last|original|factory|stock|former|first|worn|replaced|broken string|strings|one|bowstring",
    "string|one ?i ?had before",
    "friend|friends|buddy|buddies|mate|mates|brother|brothers|father|dad|wife|son|daughter|sister|clubmate|neighbour|colleague ?new ?old ?the bow|string|one|recurve|longbow|has|gets|uses|shoots|measured|bought",
    "his|her|their|wifes|husbands bow|string|one|longbow|recurve|brace",
    "one from|by another",
    "two|both|three|all ?my bows|strings",
    "the other",
    "similar|same ?kind ?of bow",
    "son|daughter|wife|husband|brother|friend is|has",
    "strings i have|had|bought",
    "string|strings i bought|had|used before|elsewhere",
    "other maker|shop|supplier|makers",
    "competitor*",
    "forum|internet|youtube|video",
    "for example|instance",
    "next string|bow|one|order",
    "new order",
    "order|buy|get another",
];

/// The number belongs to this string after all.
const THIS_ONE: &[&str] = &[
    "this|your|new one|string|bowstring|bow",
    "the|your|my new",
    "yours",
    "mine",
    "now|currently",
    "i get|have|measure|measured|got",
    "this|the bow is",
    "my bow|longbow|recurve",
    "?but ?with this|yours|mine",
];

const IF: &[&str] = &[
    "if",
    "unless",
    "would be|make|help|give|bring|work|have|need",
    "suppose|supposing|assuming|imagine",
    "in case",
    "as if",
    "wonder|wondering|unsure",
    "not sure|know|certain",
    "could|might|may be|it",
];

const DENIED: &[&str] = &[
    "not|never|nor #",
    "not|never|hardly _ get|reach|reaches|come|comes|make|makes|achieve|hold|holds|go|goes|measure|obtain|bring",
    "unable|impossible _ get|reach|come|bring",
    "fail|fails|failed to",
    "short|shy of",
    "no way _ get|reach",
];

/// Questions about what to do, and about what is right.
const ASKED: &[&str] =
    &["should|could|can|would|shall i|we|it|that|you", "is|are it|that|this|they ok|okay|right|normal"];

/// What one should know is no wish.
const KNOWN: &[&str] = &["should|would know|mention|say|add|tell|note"];

/// The cues of one text, made ready once.
pub(super) struct Cues {
    pub(super) topics: Vec<Cue>,
    pub(super) wanted: Vec<Pattern>,
    pub(super) wishes: Vec<Pattern>,
    pub(super) before_now: Vec<Pattern>,
    pub(super) now: Vec<Pattern>,
    pub(super) others: Vec<Pattern>,
    pub(super) this_one: Vec<Pattern>,
    pub(super) hypothetical: Vec<Pattern>,
    pub(super) denied: Vec<Pattern>,
    pub(super) asked: Vec<Pattern>,
    pub(super) known: Vec<Pattern>,
}

impl Cues {
    pub(super) fn new() -> Self {
        Self {
            topics: topic_cues(),
            wanted: all(WANTED),
            wishes: all(WISHES),
            before_now: all(BEFORE_NOW),
            now: all(NOW),
            others: all(OTHERS),
            this_one: all(THIS_ONE),
            hypothetical: all(IF),
            denied: all(DENIED),
            asked: all(ASKED),
            known: all(KNOWN),
        }
    }
}
