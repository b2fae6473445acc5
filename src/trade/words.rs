//! The trade's words with a fixed spelling.

use crate::words;

words! {
    /// Whether the bow's tips are reinforced.
    Tips, "kind of tips" {
        /// Overlays or other reinforcement.
        Reinforced = "reinforced",
        /// None.
        Plain = "plain",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// What the bow is made of.
    Stave, "kind of stave" {
        /// Wood alone.
        Wood = "wood",
        /// With glass, carbon or horn.
        Laminated = "laminated",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// Direction of lay, as ISO 2 names the direction of twist.
    Lay, "lay" {
        /// Right-hand.
        Z = "z",
        /// Left-hand.
        S = "s",
    }
}

words! {
    /// Under what pull a length was measured.
    LengthAt, "way of measuring a length" {
        /// Under the workshop's measuring load.
        Loaded = "loaded",
        /// Pulled tight by hand.
        HandTight = "hand-tight",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// With what a brace height was read.
    ReadBy, "way of reading a brace height" {
        /// A ruler, a tape or a square.
        Ruler = "ruler",
        /// The paper strip of the sheet.
        Strip = "strip",
    }
}

words! {
    /// From where to where a string was measured.
    Across, "way of measuring across the loops" {
        /// Outside of loop to outside of loop.
        Outside = "outside",
        /// Inside of loop to inside of loop.
        Inside = "inside",
    }
}

words! {
    /// How an old string was made.
    OldMake, "make of the old string" {
        /// Laid (Flemish).
        Laid = "laid",
        /// Endless, with served loops.
        Endless = "endless",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// How the length of a string was arrived at.
    Route, "sizing route" {
        /// An old string that fits was measured.
        OldString = "old-string",
        /// The bow's marked length minus an offset.
        Marked = "marked",
        /// Measured on the belly, nock to nock, minus an offset.
        NockToNock = "nock-to-nock",
        /// Stated by the bow's maker.
        BowMaker = "bow-maker",
        /// With the workshop's help.
        WorkedOut = "worked-out",
        /// As an earlier string.
        Repeat = "repeat",
        /// Nobody knows: an old one, one from a fair, a gift.
        Unknown = "unknown",
    }
}

impl Route {
    /// The routes by which a length comes about.
    pub const SIZED: &'static [Self] = Self::ALL.split_at(Self::ALL.len() - 1).0;
}

words! {
    /// What an archer complains of.
    Symptom, "symptom" {
        /// Brace height too low.
        BraceLow = "brace-low",
        /// Brace height too high.
        BraceHigh = "brace-high",
        /// String too long.
        TooLong = "too-long",
        /// String too short.
        TooShort = "too-short",
        /// The bow cannot be strung with it.
        WillNotString = "will-not-string",
        /// Loose tag ends.
        LooseTags = "loose-tags",
        /// The centre serving sits in the wrong place.
        ServingPlace = "serving-place",
        /// A gap in the serving.
        ServingGap = "serving-gap",
        /// The serving turns or slides.
        ServingLoose = "serving-loose",
        /// Arrow nocks too tight or too loose.
        NockFit = "nock-fit",
        /// The nocking point sits in the wrong place.
        NockingPoint = "nocking-point",
        /// A loop too small or too large.
        LoopFit = "loop-fit",
        /// Kinked or snarled.
        Kinked = "kinked",
        /// Fuzzy, wants wax.
        Fuzzy = "fuzzy",
        /// Cut fibres.
        Frayed = "frayed",
        /// A strand is broken.
        BrokenStrand = "broken-strand",
        /// The bow is loud.
        Noisy = "noisy",
        /// The string hits hand or arm.
        HandSlap = "hand-slap",
        /// Something differs from the order.
        NotAsOrdered = "not-as-ordered",
        /// It was shot without an arrow.
        DryFire = "dry-fire",
        /// The bow is damaged.
        BowDamage = "bow-damage",
        /// Anything else.
        Other = "other",
    }
}

impl Symptom {
    /// Symptoms that speak of the string's length by themselves.
    #[must_use]
    pub const fn is_fit(self) -> bool {
        matches!(
            self,
            Self::BraceLow | Self::BraceHigh | Self::TooLong | Self::TooShort | Self::WillNotString
        )
    }

    /// Symptoms with which nobody may shoot on.
    #[must_use]
    pub const fn is_danger(self) -> bool {
        matches!(self, Self::BrokenStrand | Self::Frayed | Self::DryFire | Self::BowDamage)
    }

    /// Symptoms that speak of the length only with a brace height outside the range.
    #[must_use]
    pub const fn is_fit_with_reading(self) -> bool {
        matches!(self, Self::Noisy | Self::HandSlap)
    }
}

words! {
    /// What is to be done.
    Verdict, "verdict" {
        /// Nothing is wrong.
        Reassure = "reassure",
        /// One more measurement is needed.
        Ask = "ask",
        /// Put right on the bow.
        Adjust = "adjust",
        /// Serving or loop made good free; the string itself is right.
        Mend = "mend",
        /// Made again free.
        Remake = "remake",
        /// To the bow's maker or a bowyer.
        Refer = "refer",
        /// Do not shoot.
        Stop = "stop",
    }
}

words! {
    /// Where a report stands; it follows from what happened.
    Standing, "standing" {
        /// The workshop's turn.
        ToAnswer = "to-answer",
        /// The archer's turn.
        WithArcher = "with-archer",
        /// The replacement is being made.
        OnBench = "on-bench",
        /// The replacement is posted.
        InPost = "in-post",
        /// Ended.
        Settled = "settled",
    }
}

words! {
    /// What it was, once known.
    Cause, "cause" {
        /// Built off what was ordered.
        Workshop = "workshop",
        /// Ordered off what the bow needs.
        Sizing = "sizing",
        /// The string grew as new strings do.
        Settling = "settling",
        /// Upside down, turned by accident, measured wrongly.
        Handling = "handling",
        /// Nothing that matters.
        Cosmetic = "cosmetic",
        /// The bow.
        Bow = "bow",
        /// The yarn does not suit the bow.
        YarnChoice = "yarn-choice",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// Where the wanted brace range comes from.
    WantSource, "source of a wanted range" {
        /// The bow's maker.
        BowMaker = "bow-maker",
        /// The archer's wish.
        Archer = "archer",
        /// The workshop's table.
        Table = "table",
    }
}

words! {
    /// A measurement to ask for.
    Ask, "measurement" {
        /// The brace height.
        Brace = "brace",
        /// The brace height again, three times.
        BraceAgain = "brace-again",
        /// The string's length off the bow.
        StringLength = "string-length",
        /// The turns, counted on the body.
        TurnsCount = "turns-count",
        /// Turns put in or taken out since it came.
        TurnsMade = "turns-made",
        /// The four fade measures.
        Fades = "fades",
        /// Which end is up.
        WhichWayUp = "which-way-up",
        /// Shots since it was new.
        Shots = "shots",
        /// Kind of bow.
        BowKind = "bow-kind",
        /// Kind of tips.
        Tips = "tips",
        /// What the bow is made of.
        Stave = "stave",
        /// When the bow was made.
        BowYear = "bow-year",
        /// The bow maker's brace range.
        BraceRange = "brace-range",
        /// A photo.
        Photo = "photo",
        /// Whether any strand is broken, cut or worn.
        StringSound = "string-sound",
        /// Whether the bow shows a crack, a lift or a line.
        BowSound = "bow-sound",
        /// Whether it was shot without an arrow.
        ShotWithoutArrow = "shot-without-arrow",
    }
}

words! {
    /// Which way the marker on the larger loop points.
    Marker, "way of the marker" {
        /// Larger loop on the upper limb.
        Up = "up",
        /// Larger loop on the lower limb.
        Down = "down",
        /// Not known.
        Unknown = "unknown",
    }
}

words! {
    /// What a photo shows.
    Photo, "finding on a photo" {
        /// Nothing wrong.
        Sound = "sound",
        /// Cut fibres, a slipped splice, a damaged bow.
        Damaged = "damaged",
        /// Not what was ordered.
        Differs = "differs",
    }
}

words! {
    /// How a report ended.
    Outcome, "outcome" {
        /// Nothing was wrong.
        Reassured = "reassured",
        /// Put right on the bow.
        Adjusted = "adjusted",
        /// Serving or loop made good.
        Mended = "mended",
        /// Made again.
        Remade = "remade",
        /// Sent to the bow's maker or a bowyer.
        Referred = "referred",
        /// Never came to an end.
        Unfinished = "unfinished",
    }
}

words! {
    /// Which way a string missed.
    Direction, "direction" {
        /// It came too long.
        Long = "long",
        /// It came too short.
        Short = "short",
    }
}

words! {
    /// What money went into.
    CostOf, "kind of cost" {
        /// An answer.
        Answer = "answer",
        /// Making a string again.
        Remake = "remake",
        /// Posting with a return label.
        Label = "label",
        /// Material.
        Material = "material",
        /// All of an old report, from its spreadsheet.
        History = "history",
    }
}

words! {
    /// What sort of mail it is.
    MailKind, "kind of mail" {
        /// Something does not fit, or is broken.
        Complaint = "complaint",
        /// An answer to what we asked.
        Answer = "answer",
        /// It fits now.
        Fits = "fits",
        /// Nothing but thanks.
        Praise = "praise",
        /// A string is wanted.
        Order = "order",
        /// Sent to many.
        Newsletter = "newsletter",
        /// Sent by a program.
        Auto = "auto",
        /// Anything else.
        Other = "other",
    }
}

impl MailKind {
    /// Whether a report is proposed to be opened for it.
    #[must_use]
    pub const fn is_case(self) -> bool {
        matches!(self, Self::Complaint | Self::Answer | Self::Other)
    }

    /// Whether it says nothing of a string that was sold, as far as it is read.
    #[must_use]
    pub const fn is_quiet(self) -> bool {
        matches!(self, Self::Praise | Self::Order | Self::Newsletter | Self::Auto)
    }
}
