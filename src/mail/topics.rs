//! What numbers measure, and the words that say so.

use super::phrases::Pattern;

/// What a number is the measure of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Topic {
    Brace,
    StringLength,
    BowLength,
    NockToNock,
    /// From tip to tip in a straight line, which is neither of the two.
    TipToTip,
    DrawWeight,
    Turns,
    Shots,
    /// Something the workshop does not ask for.
    Other,
}

/// How far a cue reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// To every number of the clause, and to the clauses after it.
    Far,
    /// To a number that follows with nothing but small words between.
    Near,
}

const TOPICS: &[(&str, Topic, Reach)] = &[
    ("brace|bracing|braced height|hight|heights|heigth|heigh", Topic::Brace, Reach::Far),
    ("brace|braced|braces|bracing|braceheight|bracingheight|fistmele|fistmelle|bh", Topic::Brace, Reach::Far),
    ("string|stringing hight|height|clearance", Topic::Brace, Reach::Far),
    ("bow square", Topic::Brace, Reach::Far),
    ("?the height of ?the string|bowstring", Topic::Brace, Reach::Far),
    ("standing height", Topic::Brace, Reach::Far),
    ("?the height is|was|of|now|at|reads|measures|gets|goes", Topic::Brace, Reach::Far),
    ("the height", Topic::Brace, Reach::Near),
    (
        "string|bowstring to ?the|my ?deepest ?part|point ?of ?the grip|belly|handle|riser|throat|pivot|bow|wood",
        Topic::Brace,
        Reach::Far,
    ),
    ("grip|belly|handle|riser|throat|pivot|bow to ?the string|bowstring", Topic::Brace, Reach::Far),
    (
        "between ?the string|bowstring and ?the|my grip|belly|handle|riser|throat|pivot|bow",
        Topic::Brace,
        Reach::Far,
    ),
    (
        "between ?the|my grip|belly|handle|riser|throat|pivot|bow and ?the string|bowstring",
        Topic::Brace,
        Reach::Far,
    ),
    (
        "from ?the|my ?deepest ?part|point ?of ?the|my grip|belly|handle|riser|throat|pivot|bow to ?the string|bowstring",
        Topic::Brace,
        Reach::Far,
    ),
    (
        "from|to|off ?the|my ?deepest ?part|point ?of ?the|my grip|belly|handle|riser|throat|pivot",
        Topic::Brace,
        Reach::Far,
    ),
    ("string|bowstring length", Topic::StringLength, Reach::Far),
    ("length of ?the|my|this|your|new ?new|bow string|bowstring", Topic::StringLength, Reach::Far),
    ("length of ?the|my|this|your|new ?new bow string", Topic::StringLength, Reach::Far),
    ("loop|loops to loop|loops", Topic::StringLength, Reach::Far),
    ("end to end", Topic::StringLength, Reach::Far),
    ("outside|outsides to outside|outsides", Topic::StringLength, Reach::Far),
    ("outside ?of ?the loop|loops", Topic::StringLength, Reach::Far),
    ("hand tight|tightened|taut", Topic::StringLength, Reach::Far),
    ("nail|peg|hook to nail|peg|hook", Topic::StringLength, Reach::Far),
    ("between ?the ?two nails|pegs|hooks|pins|posts", Topic::StringLength, Reach::Far),
    ("string|bowstring ?itself measures|measured|measure|measuring", Topic::StringLength, Reach::Far),
    (
        "measured|measure|measuring ?the|my|your|this ?new ?bow string|bowstring ?itself",
        Topic::StringLength,
        Reach::Near,
    ),
    ("amo", Topic::BowLength, Reach::Far),
    ("bow length", Topic::BowLength, Reach::Far),
    ("length of ?the|my|this|your bow|recurve|longbow|selfbow|flatbow", Topic::BowLength, Reach::Far),
    ("bow measures|measured", Topic::BowLength, Reach::Far),
    ("marked length", Topic::BowLength, Reach::Far),
    ("bow ?that|which is|are ?marked|labelled|labeled|stamped", Topic::BowLength, Reach::Near),
    ("bow|recurve|longbow|selfbow|flatbow", Topic::BowLength, Reach::Near),
    ("marked|stamped as|with|at|amo", Topic::BowLength, Reach::Near),
    ("nock to nock", Topic::NockToNock, Reach::Far),
    ("groove to groove", Topic::NockToNock, Reach::Far),
    ("tip to tip", Topic::TipToTip, Reach::Far),
    ("inside|insides ?of to|loop|loops ?inside", Topic::Other, Reach::Far),
    ("draw weight", Topic::DrawWeight, Reach::Near),
    ("drawweight|poundage|draws|pulls|weight", Topic::DrawWeight, Reach::Near),
    ("turns|twists|rotations", Topic::Turns, Reach::Near),
    ("shots|arrows|shot|fired|loosed", Topic::Shots, Reach::Near),
    ("draw length", Topic::Other, Reach::Far),
    ("drawlength|dl", Topic::Other, Reach::Far),
    ("i draw|pull", Topic::Other, Reach::Far),
    ("draw", Topic::Other, Reach::Near),
    ("i|he|she|we am|are|is", Topic::Other, Reach::Near),
    ("my height|age|size", Topic::Other, Reach::Near),
    ("servings|serving|served", Topic::Other, Reach::Far),
    ("loop|loops", Topic::Other, Reach::Far),
    ("nock|nocks|nocking|nockset", Topic::Other, Reach::Far),
    ("arrow", Topic::Other, Reach::Far),
    ("spine|spined|fletching|point|points", Topic::Other, Reach::Near),
    ("riser|handle|grip|limb|limbs|tiller|fade|fades", Topic::Other, Reach::Near),
    ("silencer|silencers|puffs|whiskers|beavers", Topic::Other, Reach::Far),
    ("tag|tags|tail|tails", Topic::Other, Reach::Far),
    ("distance|distances|range of the", Topic::Other, Reach::Near),
    ("strand|strands|ply|plies|bundle|bundles", Topic::Other, Reach::Far),
    ("diameter|thickness|thick", Topic::Other, Reach::Far),
    ("glove|tab|armguard|bracer|stringer", Topic::Other, Reach::Far),
    ("price|postage|shipping|invoice|order|refund", Topic::Other, Reach::Near),
    ("shoe|age|aged|score|scored", Topic::Other, Reach::Near),
    ("my|the other|old|previous|last bow", Topic::BowLength, Reach::Near),
    ("gap|gaps|knot|knots|kink|kinks|marker", Topic::Other, Reach::Far),
    ("upper|lower limb", Topic::Other, Reach::Far),
    ("clicker|sight|button|plunger|rest|shelf", Topic::Other, Reach::Near),
    ("wax|waxed|temperature|degrees", Topic::Other, Reach::Near),
    ("string|bowstring", Topic::StringLength, Reach::Near),
    ("bowstring|string|strings for ?my|the|a ?new ?old bow|recurve|longbow", Topic::BowLength, Reach::Near),
    ("speed|chrono|chronograph|fps", Topic::Other, Reach::Far),
    ("yarn|thread|fibre|fiber", Topic::Other, Reach::Near),
];

/// A topic's cue, ready to be looked for.
pub(super) struct Cue {
    pub(super) pattern: Pattern,
    pub(super) topic: Topic,
    pub(super) reach: Reach,
}

/// The cues of topics, ready to be looked for.
pub(super) fn topic_cues() -> Vec<Cue> {
    TOPICS
        .iter()
        .map(|&(pattern, topic, reach)| Cue { pattern: Pattern::new(pattern), topic, reach })
        .collect()
}
