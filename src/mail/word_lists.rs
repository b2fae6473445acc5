//! Lists of small words that bind a number to what it measures.

/// Words that may stand between a near cue and its number.
#[rustfmt::skip]
pub(super) const LINKS: &[&str] = &[
    "is", "was", "are", "were", "a", "an", "the", "as", "of", "at", "to", "in", "it", "its", "measures",
    "measured", "measure", "comes", "came", "come", "out", "only", "just", "now", "itself", "you",
    "sent", "made", "i", "we", "got", "get", "length", "long", "that", "new", "around", "about", "put",
    "added", "taken", "count", "counted", "number", "changed", "total", "far", "so", "shot", "since",
    "change", "marked", "rated", "up", "exactly",
];

/// Words that may stand between the name of a count and its number.
#[rustfmt::skip]
pub(super) const LABEL_LINKS: &[&str] = &[
    "is", "was", "are", "of", "count", "counted", "number", "added", "in", "out", "taken", "put",
    "changed", "change", "total", "so", "far", "since", "delivery", "then", "rated", "about", "around",
    "removed", "made", "shot", "new", "the", "string", "marked", "a",
];

/// Wishes that reach only over small words; the rest of the list above reaches far.
#[rustfmt::skip]
pub(super) const WISH_LINKS: &[&str] = &[
    "it", "to", "be", "have", "get", "at", "a", "an", "the", "of", "brace", "bracing", "height", "my",
    "is", "bring", "reach", "set", "up", "down", "back", "for", "in", "range", "string", "bow",
    "fistmele", "see", "somewhere", "between", "from", "run", "shoot", "keep", "mine", "this", "that",
    "or", "brought", "around", "with", "its", "least", "on", "says", "say", "said", "sais", "gives",
    "gave", "states", "stated", "was", "given", "his", "her",
];

/// Words between a topic and a number in a later clause that do not change the topic.
#[rustfmt::skip]
pub(super) const PLAIN: &[&str] = &[
    "i", "it", "is", "was", "are", "were", "be", "been", "shots", "shot", "arrows", "shooting", "turns",
    "twists", "tried", "added", "adding", "more", "put", "putting", "taking", "being", "the", "a", "an",
    "my", "mine", "your", "yours", "this", "that", "these", "those", "we", "you", "he", "she", "they",
    "their", "its", "his", "her", "us", "me", "maker", "makers", "bowyer", "bowyers", "manufacturer",
    "manufacturers", "builder", "factory", "website", "site", "manual", "book", "sheet", "card",
    "label", "catalogue", "spec", "specs", "says", "say", "said", "states", "stated", "recommends",
    "recommended", "recommend", "recommendation", "recommending", "advises", "suggests", "suggested",
    "suggestion", "lists", "list", "gives", "give", "gave", "given", "quotes", "should", "supposed",
    "meant", "ought", "to", "want", "wants", "wanted", "would", "like", "prefer", "need", "needs",
    "aim", "aiming", "target", "ideal", "ideally", "optimal", "range", "between", "from", "of", "at",
    "in", "on", "up", "down", "only", "just", "now", "currently", "today", "still", "get", "gets",
    "got", "getting", "have", "has", "had", "having", "measure", "measures", "measured", "measuring",
    "remeasured", "read", "reads", "reading", "readings", "come", "comes", "came", "coming", "out",
    "sit", "sits", "sat", "stand", "stands", "with", "without", "for", "new", "string", "bowstring",
    "bow", "one", "all", "each", "time", "times", "twice", "both", "every", "again", "always",
    "exactly", "then", "after", "afterwards", "before", "when", "and", "but", "so", "which",
    "according", "find", "found", "see", "seen", "show", "shows", "showed", "shown", "ended", "end",
    "went", "go", "goes", "gone", "brought", "bring", "raised", "dropped", "drops", "drop", "fell",
    "rose", "back", "best", "max", "maximum", "most", "as", "am", "not", "too", "bit", "than", "there",
    "here", "them", "first", "second", "third", "day", "days", "week", "morning", "evening",
    "yesterday", "session", "minute", "minutes", "strung", "stringing", "restrung", "properly",
    "actual", "actually", "really", "ruler", "tape", "square", "gauge", "ll", "by", "per", "instead",
    "rather", "must", "ready", "will", "can", "could", "about", "around", "roughly", "approx", "nearly",
    "or", "if", "however", "height", "value", "result", "average", "mean", "same", "goal", "please",
    "until", "since", "settled", "changed", "also", "even", "already",
];

/// Words with which a question begins that can be answered by yes or no.
#[rustfmt::skip]
pub(super) const YES_OR_NO: &[&str] = &[
    "is", "are", "should", "would", "could", "can", "do", "does", "will", "was", "shall", "may", "am",
    "has",
];

/// Words that make a clause one of its own, so that it does not take over what was wanted.
#[rustfmt::skip]
pub(super) const VERBS: &[&str] = &[
    "is", "was", "are", "were", "am", "get", "gets", "got", "have", "has", "had", "measure", "measures",
    "measured", "measuring", "reads", "sits", "sit", "comes", "came", "mine", "i", "it", "went",
    "dropped", "now", "gives", "gave", "this", "my", "stands", "at", "only", "currently", "actual",
    "actually", "reading", "find", "found",
];

/// Words with which a sentence goes on about what the one before spoke of.
#[rustfmt::skip]
pub(super) const GOING_ON: &[&str] = &[
    "it", "is", "was", "now", "get", "gets", "got", "getting", "measured", "measure", "measures",
    "have", "had", "mine", "maker", "makers", "bowyer", "bowyers", "manufacturer", "should", "supposed",
    "recommend*", "want*", "need*", "between", "range", "spec", "specs", "says", "said", "currently",
    "today", "still", "at", "to", "would", "like", "prefer", "aim", "target", "ideal", "must", "reads",
    "reading", "dropped", "settled", "went", "came", "ended", "after", "before", "actual", "i", "my",
    "that", "this", "only", "same", "they", "you", "twists", "turns",
];

/// Words that say that a value stands beside another one.
#[rustfmt::skip]
pub(super) const BESIDE: &[&str] = &[
    "below", "under", "lower", "less", "above", "higher", "over", "more", "outside", "short", "too",
    "instead", "rather", "vs", "against", "compared",
];

/// Words that make "from 7 to 8" a change and no range.
#[rustfmt::skip]
pub(super) const MOVES: &[&str] = &[
    "went", "go", "goes", "gone", "dropped", "drops", "fell", "fallen", "rose", "risen", "came",
    "climbed", "changed", "moved", "brought", "raised", "lowered", "increased", "decreased", "sank",
    "crept", "jumped", "got", "took", "changes", "settled", "improved", "come", "comes", "bring",
    "raise", "lower", "move", "get", "change", "down", "up",
];
