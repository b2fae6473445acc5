//! What the program answers as JSON, read back by types that refuse unknown keys: a renamed,
//! added or dropped key breaks a test, as it would break somebody's script.

use chrono::NaiveDate;
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// An answer with the name of its schema.
pub(crate) trait Data: DeserializeOwned {
    const SCHEMA: &'static str;
    /// Keys of the answer, for the command reference; of one element where it is a list.
    const KEYS: &'static [&'static str];
}

/// Defines the types of answers. An `Option` must still be there as `null`: absent is decided once.
macro_rules! answer {
    ($($(#[$meta:meta])* $name:ident $(= $schema:literal)? $(, list $list:literal)? {
        $($(#[$fmeta:meta])* $field:ident: $type:ty,)+
    })+) => {$(
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(dead_code, reason = "every key is read, whether a test looks at it or not")]
        pub(crate) struct $name {
            $($(#[$fmeta])* pub(crate) $field: $type,)+
        }
        impl $name {
            #[allow(dead_code, reason = "only answers of their own are listed by schema")]
            const FIELDS: &'static [&'static str] = &[$(stringify!($field)),+];
        }
        $(impl Data for $name {
            const SCHEMA: &'static str = $schema;
            const KEYS: &'static [&'static str] = $name::FIELDS;
        })?
        $(impl Data for Vec<$name> {
            const SCHEMA: &'static str = $list;
            const KEYS: &'static [&'static str] = $name::FIELDS;
        })?
    )+};
}

/// A number that is finite; JSON has no other, but a careless reader would take `null` for one.
type Inch = f64;

/// For keys that must be there even where they hold nothing.
fn there<'de, D: serde::Deserializer<'de>, T: Deserialize<'de>>(from: D) -> Result<Option<T>, D::Error> {
    Option::<T>::deserialize(from)
}

answer! {
    InitData = "init/1" { book: String, }

    StrengthData {
        stands: String,
        missing: Vec<String>,
        #[serde(deserialize_with = "there")] strand_lb: Option<f64>,
        #[serde(deserialize_with = "there")] source_lb: Option<f64>,
        #[serde(deserialize_with = "there")] why: Option<String>,
        #[serde(deserialize_with = "there")] holds_lb: Option<f64>,
        #[serde(deserialize_with = "there")] floor_lb: Option<f64>,
    }

    WeakRowData { string: String, strength: StrengthData, }

    WeakLineData {
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        since: NaiveDate,
        days: i64,
        #[serde(deserialize_with = "there")] warned_on: Option<NaiveDate>,
        strength: StrengthData,
        next: String,
    }

    ImportData = "import/1" {
        rows: u32,
        added: u32,
        unchanged: u32,
        struck: u32,
        same_bow: u32,
        bow_kept_apart: u32,
        bad: u32,
        below_floor: Vec<WeakRowData>,
        strength_not_checked: u32,
        ignored_columns: Vec<String>,
        dry_run: bool,
    }

    FoundData, list "found/1" {
        serial: String,
        #[serde(deserialize_with = "there")] order_ref: Option<String>,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        #[serde(deserialize_with = "there")] email: Option<String>,
        sold_on: NaiveDate,
        reports: u32,
        exact: bool,
    }

    ArcherData {
        id: String,
        #[serde(deserialize_with = "there")] name: Option<String>,
        #[serde(deserialize_with = "there")] email: Option<String>,
        #[serde(deserialize_with = "there")] unit: Option<String>,
    }

    BowData {
        kind: String,
        #[serde(deserialize_with = "there")] marked_length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] nock_to_nock_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] draw_weight_lb: Option<f64>,
        #[serde(deserialize_with = "there")] draw_at_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_high_inch: Option<Inch>,
        tips: String,
        stave: String,
        #[serde(deserialize_with = "there")] year: Option<i32>,
        maker_allows_low_stretch: bool,
        range_unknown: bool,
    }

    StringOfBowData {
        serial: String,
        sold_on: NaiveDate,
        route: String,
        ordered_length_inch: Inch,
        reports: u32,
    }

    BowCardData = "bow/1" {
        bow: BowData,
        archer: ArcherData,
        strings: Vec<StringOfBowData>,
        #[serde(deserialize_with = "there")] taught_by: Option<String>,
        #[serde(deserialize_with = "there")] answers_ratio: Option<f64>,
        #[serde(deserialize_with = "there")] answers_log_sd: Option<f64>,
        alike: Vec<String>,
    }

    StringData = "string/1" {
        serial: String,
        #[serde(deserialize_with = "there")] struck: Option<StruckData>,
        #[serde(deserialize_with = "there")] order_ref: Option<String>,
        former_addresses: Vec<FormerData>,
        archer: ArcherData,
        bow: BowData,
        same_bow: Vec<String>,
        bows_alike: Vec<String>,
        twins: Vec<String>,
        strength: StrengthData,
        sold_on: NaiveDate,
        #[serde(deserialize_with = "there")] delivered_on: Option<NaiveDate>,
        route: String,
        #[serde(deserialize_with = "there")] stated_inch: Option<Inch>,
        stated_at: String,
        #[serde(deserialize_with = "there")] offset_inch: Option<Inch>,
        ordered_length_inch: Inch,
        #[serde(deserialize_with = "there")] built_length_inch: Option<Inch>,
        built_at: String,
        built_across: String,
        #[serde(deserialize_with = "there")] loaded_length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] old_yarn: Option<String>,
        #[serde(deserialize_with = "there")] old_make: Option<String>,
        #[serde(deserialize_with = "there")] old_measured: Option<String>,
        yarn: String,
        #[serde(deserialize_with = "there")] strands: Option<u32>,
        #[serde(deserialize_with = "there")] plies: Option<u32>,
        #[serde(deserialize_with = "there")] lay: Option<String>,
        #[serde(deserialize_with = "there")] turns: Option<f64>,
        #[serde(deserialize_with = "there")] turns_taken: Option<f64>,
        #[serde(deserialize_with = "there")] turns_known: Option<String>,
        #[serde(deserialize_with = "there")] usual_turns: Option<serde_json::Value>,
        #[serde(deserialize_with = "there")] turns_min: Option<i32>,
        #[serde(deserialize_with = "there")] turns_max: Option<i32>,
        #[serde(deserialize_with = "there")] loop_top_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] loop_bottom_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] serving_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] pre_stretched: Option<bool>,
        #[serde(deserialize_with = "there")] silencers: Option<bool>,
        #[serde(deserialize_with = "there")] colours: Option<String>,
        #[serde(deserialize_with = "there")] spool: Option<String>,
        #[serde(deserialize_with = "there")] maker: Option<String>,
        #[serde(deserialize_with = "there")] maker_initials: Option<String>,
        #[serde(deserialize_with = "there")] price_cents: Option<i64>,
        #[serde(deserialize_with = "there")] replaces: Option<String>,
        replaced_by: Vec<String>,
        chain: Vec<String>,
        cost_cents: i64,
        archer_cost_cents: i64,
        letters: Vec<SentData>,
        reports: Vec<ReportData>,
        struck_reports: Vec<ReportData>,
    }

    StruckData {
        on: NaiveDate,
        who: String,
        #[serde(deserialize_with = "there")] why: Option<String>,
    }

    StrikeData = "strike/1" {
        id: String,
        what: String,
        string: String,
        #[serde(deserialize_with = "there")] struck: Option<StruckData>,
        #[serde(deserialize_with = "there")] standing: Option<String>,
        #[serde(deserialize_with = "there")] verdict: Option<String>,
        #[serde(deserialize_with = "there")] withdraws_letter_of: Option<NaiveDate>,
        notices: Vec<String>,
    }

    ReadingData {
        reading: String,
        #[serde(deserialize_with = "there")] struck: Option<StruckData>,
        taken_on: NaiveDate,
        #[serde(deserialize_with = "there")] brace_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] readings: Option<u32>,
        #[serde(deserialize_with = "there")] read_by: Option<String>,
        #[serde(deserialize_with = "there")] want_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_high_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] length_at: Option<String>,
        #[serde(deserialize_with = "there")] turns_changed: Option<f64>,
        turns_changed_total: f64,
        #[serde(deserialize_with = "there")] turns_counted: Option<f64>,
        #[serde(deserialize_with = "there")] counted_over_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] free_string_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] fade_span_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] fade_gap_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] fade_to_nock_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] shots: Option<u32>,
        #[serde(deserialize_with = "there")] marker: Option<String>,
        #[serde(deserialize_with = "there")] serving_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] photo: Option<String>,
    }

    SignData {
        number: u32,
        of: String,
        sure: bool,
        words: String,
        stands_in: String,
        standing: String,
    }

    ReadSignData { of: String, sure: bool, words: String, stands_in: String, }

    ReadLineData { what: String, value: serde_json::Value, words: String, }

    MailData = "mail/1" {
        #[serde(deserialize_with = "there")] from: Option<String>,
        #[serde(deserialize_with = "there")] address: Option<String>,
        #[serde(deserialize_with = "there")] subject: Option<String>,
        #[serde(deserialize_with = "there")] sent_on: Option<NaiveDate>,
        attachments: u32,
        text: String,
        kind: String,
        is_case: bool,
        #[serde(deserialize_with = "there")] string: Option<String>,
        found_by: String,
        candidates: Vec<String>,
        symptoms: Vec<ReadLineData>,
        read: Vec<ReadLineData>,
        new_address: bool,
        likely: Vec<ReadLineData>,
        #[serde(deserialize_with = "there")] forgotten_on: Option<NaiveDate>,
        bow_signs: Vec<String>,
        damage_signs: Vec<String>,
        signs: Vec<ReadSignData>,
        denied: Vec<String>,
        #[serde(deserialize_with = "there")] two_archers: Option<String>,
        each: Vec<EachStringData>,
        questions: Vec<String>,
        #[serde(deserialize_with = "there")] goes_on: Option<String>,
        #[serde(deserialize_with = "there")] held_by: Option<String>,
        #[serde(deserialize_with = "there")] report: Option<String>,
        reports: Vec<String>,
    }

    EachStringData {
        string: String,
        symptoms: Vec<ReadLineData>,
        read: Vec<ReadLineData>,
        likely: Vec<ReadLineData>,
        questions: Vec<String>,
    }

    HistoryLineData {
        line: i64,
        day: NaiveDate,
        who: String,
        what: String,
        #[serde(deserialize_with = "there")] string: Option<String>,
        #[serde(deserialize_with = "there")] report: Option<String>,
        fields: Vec<String>,
    }

    HistoryData = "history/1" { lines: Vec<HistoryLineData>, of: i64, }

    DecisionData {
        decided_on: NaiveDate,
        who: String,
        why: String,
        as_worked_out: bool,
        #[serde(deserialize_with = "there")] cause: Option<String>,
        #[serde(deserialize_with = "there")] free: Option<bool>,
        #[serde(deserialize_with = "there")] remake: Option<bool>,
        #[serde(deserialize_with = "there")] turns: Option<i32>,
        #[serde(deserialize_with = "there")] length_inch: Option<Inch>,
    }

    SentData {
        #[serde(deserialize_with = "there")] id: Option<String>,
        #[serde(deserialize_with = "there")] struck: Option<StruckData>,
        sent_on: NaiveDate,
        letter: String,
        #[serde(deserialize_with = "there")] to: Option<String>,
        text: String,
    }

    ReportData = "report/1", list "reports-added/1" {
        report: String,
        #[serde(deserialize_with = "there")] struck: Option<StruckData>,
        #[serde(deserialize_with = "there")] to_take_back: Option<NaiveDate>,
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        received_on: NaiveDate,
        symptoms: Vec<String>,
        bow_signs: Vec<String>,
        damage_signs: Vec<String>,
        signs: Vec<SignData>,
        danger_ruled_out: bool,
        standing: String,
        #[serde(deserialize_with = "there")] verdict: Option<String>,
        readings: Vec<ReadingData>,
        struck_readings: Vec<ReadingData>,
        texts: Vec<String>,
        letters: Vec<SentData>,
        struck_letters: Vec<SentData>,
        decisions: Vec<DecisionData>,
        remakes: Vec<String>,
        #[serde(deserialize_with = "there")] settled_on: Option<NaiveDate>,
        #[serde(deserialize_with = "there")] outcome: Option<String>,
        #[serde(deserialize_with = "there")] cause: Option<String>,
        #[serde(deserialize_with = "there")] right_length_inch: Option<Inch>,
        cost_cents: i64,
    }

    FormerData { email: String, until_on: NaiveDate, }

    StruckLine, list "struck/1" {
        id: String,
        what: String,
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        struck: StruckData,
    }

    ReportLine, list "reports/1" {
        report: String,
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        received_on: NaiveDate,
        symptoms: Vec<String>,
        standing: String,
        #[serde(deserialize_with = "there")] verdict: Option<String>,
    }

    ThenData {
        low_inch: Inch,
        high_inch: Inch,
        #[serde(deserialize_with = "there")] turns: Option<i32>,
    }

    AdviceData = "advice/1" {
        report: String,
        string: String,
        verdict: String,
        #[serde(deserialize_with = "there")] turns: Option<i32>,
        flip: bool,
        #[serde(deserialize_with = "there")] brace_now_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_high_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_after_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_after_sd_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] chance_in_range: Option<f64>,
        #[serde(deserialize_with = "there")] turns_now: Option<f64>,
        #[serde(deserialize_with = "there")] turns_now_sd: Option<f64>,
        #[serde(deserialize_with = "there")] turns_min: Option<i32>,
        #[serde(deserialize_with = "there")] turns_max: Option<i32>,
        #[serde(deserialize_with = "there")] reach_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] reach_high_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] play_used_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] play_left_in_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] play_left_out_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_source: Option<String>,
        #[serde(deserialize_with = "there")] remake_length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] remake_turns: Option<i32>,
        #[serde(deserialize_with = "there")] remake_yarn: Option<String>,
        #[serde(deserialize_with = "there")] free: Option<bool>,
        #[serde(deserialize_with = "there")] price_cents: Option<i64>,
        #[serde(deserialize_with = "there")] decided: Option<DecisionData>,
        likely_cause: String,
        #[serde(deserialize_with = "there")] cost_adjust_cents: Option<i64>,
        #[serde(deserialize_with = "there")] cost_remake_cents: Option<i64>,
        ask: Vec<String>,
        #[serde(deserialize_with = "there")] chance_with_table: Option<f64>,
        then: Vec<ThenData>,
        #[serde(deserialize_with = "there")] first_step_turns: Option<i32>,
        #[serde(deserialize_with = "there")] first_step_brace_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] first_step_sd_inch: Option<Inch>,
        first_step_then: Vec<ThenData>,
        #[serde(deserialize_with = "there")] measure_again_after_shots: Option<u32>,
        own_readings: u32,
        #[serde(deserialize_with = "there")] bow_taught_by: Option<String>,
        strength: StrengthData,
        standing: String,
        danger_ruled_out: bool,
        signs: Vec<SignData>,
        reasons: Vec<String>,
        cautions: Vec<String>,
    }

    LetterData = "letter/1" {
        #[serde(deserialize_with = "there")] report: Option<String>,
        string: String,
        letter: String,
        verdict: String,
        noted: bool,
        text: String,
    }

    TwistRowData {
        turns: i32,
        turns_in: f64,
        string_change_inch: Inch,
        brace_after_inch: Inch,
        per_turn_inch: Inch,
    }

    TwistData = "twist/1" {
        #[serde(deserialize_with = "there")] turns: Option<i32>,
        #[serde(deserialize_with = "there")] turns_exact: Option<f64>,
        #[serde(deserialize_with = "there")] string_change_inch: Option<Inch>,
        brace_now_inch: Inch,
        #[serde(deserialize_with = "there")] brace_after_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_after_sd_inch: Option<Inch>,
        want_low_inch: Inch,
        want_high_inch: Inch,
        chance_in_range: f64,
        #[serde(deserialize_with = "there")] chance_with_table: Option<f64>,
        then: Vec<ThenData>,
        #[serde(deserialize_with = "there")] first_step_turns: Option<i32>,
        #[serde(deserialize_with = "there")] first_step_brace_inch: Option<Inch>,
        first_step_then: Vec<ThenData>,
        turns_now: f64,
        turns_min: i32,
        turns_max: i32,
        reach_low_inch: Inch,
        reach_high_inch: Inch,
        #[serde(deserialize_with = "there")] per_turn_inch: Option<Inch>,
        outcome: String,
        #[serde(deserialize_with = "there")] ratio: Option<f64>,
        #[serde(deserialize_with = "there")] ratio_sd: Option<f64>,
        #[serde(deserialize_with = "there")] length_inch: Option<Inch>,
        cautions: Vec<String>,
        /// Only with `--table`.
        #[serde(default)] table: Vec<TwistRowData>,
    }

    LengthData = "length/1" {
        length_inch: Inch,
        length_rounded_inch: Inch,
        length_sd_inch: Inch,
        string_change_inch: Inch,
        brace_per_inch: f64,
        cautions: Vec<String>,
    }

    SettingStepData {
        set_on: NaiveDate,
        #[serde(deserialize_with = "there")] value: Option<String>,
        #[serde(deserialize_with = "there")] why: Option<String>,
    }

    SettingData = "setting/1", list "settings/1" {
        name: String,
        #[serde(deserialize_with = "there")] value: Option<String>,
        #[serde(deserialize_with = "there")] default: Option<String>,
        #[serde(deserialize_with = "there")] set_on: Option<NaiveDate>,
        about: String,
        /// Only where it was ever set.
        #[serde(deserialize_with = "there")] why: Option<String>,
        #[serde(default)] history: Vec<SettingStepData>,
    }

    RemakeData = "remake/1" {
        report: String,
        replaces: String,
        string: String,
        length_inch: Inch,
        #[serde(deserialize_with = "there")] worked_out_length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] turns: Option<f64>,
        yarn: String,
        #[serde(deserialize_with = "there")] strands: Option<u32>,
        plies: u32,
        strength: StrengthData,
        made_on: NaiveDate,
        #[serde(deserialize_with = "there")] sent_on: Option<NaiveDate>,
        #[serde(deserialize_with = "there")] back_on: Option<NaiveDate>,
        standing: String,
    }

    SettledData = "settled/1" {
        report: String,
        string: String,
        settled_on: NaiveDate,
        outcome: String,
        cause: String,
        proposed_cause: String,
        #[serde(deserialize_with = "there")] right_length_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] length_error_inch: Option<Inch>,
        cost_cents: i64,
        standing: String,
    }

    DueLineData {
        report: String,
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        symptoms: Vec<String>,
        standing: String,
        #[serde(deserialize_with = "there")] verdict: Option<String>,
        since: NaiveDate,
        days: i64,
        next: String,
    }

    TakeBackData {
        report: String,
        string: String,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        letter_of: NaiveDate,
        since: NaiveDate,
        days: i64,
        next: String,
    }

    DueData = "due/1" {
        today: NaiveDate,
        below_floor: Vec<WeakLineData>,
        to_take_back: Vec<TakeBackData>,
        workshop: Vec<DueLineData>,
        silent_archers: Vec<DueLineData>,
        in_time: u32,
    }

    CardStepData { turns: i32, brace_change_inch: Inch, }

    CardData = "card/1" {
        #[serde(deserialize_with = "there")] unit: Option<String>,
        serial: String,
        workshop: String,
        bow_kind: String,
        #[serde(deserialize_with = "there")] bow_length_inch: Option<Inch>,
        loaded_length_inch: Inch,
        load_lb: f64,
        yarn: String,
        #[serde(deserialize_with = "there")] strands: Option<u32>,
        #[serde(deserialize_with = "there")] plies: Option<u32>,
        #[serde(deserialize_with = "there")] lay: Option<String>,
        #[serde(deserialize_with = "there")] turns: Option<f64>,
        turns_min: i32,
        turns_max: i32,
        strength: StrengthData,
        #[serde(deserialize_with = "there")] maker_initials: Option<String>,
        date: NaiveDate,
        #[serde(deserialize_with = "there")] brace_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_high_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] brace_source: Option<String>,
        play_in_inch: Inch,
        play_out_inch: Inch,
        steps: Vec<CardStepData>,
        #[serde(deserialize_with = "there")] serving_inch: Option<Inch>,
        reply: ReplyFormData,
        polyester_only: bool,
        cautions: Vec<String>,
    }

    ReplyFormData { form: Vec<String>, #[serde(deserialize_with = "there")] mailto: Option<String>, }

    SheetData = "sheet/1" {
        #[serde(deserialize_with = "there")] unit: Option<String>,
        #[serde(deserialize_with = "there")] report: Option<String>,
        serial: String,
        workshop: String,
        bow_kind: String,
        #[serde(deserialize_with = "there")] lay: Option<String>,
        #[serde(deserialize_with = "there")] want_low_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_high_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] want_source: Option<String>,
        #[serde(deserialize_with = "there")] brace_now_inch: Option<Inch>,
        #[serde(deserialize_with = "there")] turns: Option<i32>,
        #[serde(deserialize_with = "there")] brace_after_inch: Option<Inch>,
        then: Vec<ThenData>,
        #[serde(deserialize_with = "there")] first_step_turns: Option<i32>,
        reply: ReplyFormData,
        cautions: Vec<String>,
    }

    SpoolData = "spool/1", list "spools/1" {
        spool: String,
        yarn: String,
        #[serde(deserialize_with = "there")] colour: Option<String>,
        #[serde(deserialize_with = "there")] bought_on: Option<NaiveDate>,
        strings: u32,
        reported: u32,
    }

    RateData {
        effective_strings: f64,
        reports: u32,
        #[serde(deserialize_with = "there")] rate: Option<f64>,
        #[serde(deserialize_with = "there")] rate_low: Option<f64>,
        #[serde(deserialize_with = "there")] rate_high: Option<f64>,
    }

    CarrierData {
        string: String,
        sold_on: NaiveDate,
        #[serde(deserialize_with = "there")] archer: Option<String>,
        #[serde(deserialize_with = "there")] email: Option<String>,
        symptoms: Vec<String>,
    }

    TraceData = "spool-trace/1" {
        spool: String,
        lot: RateData,
        rest: RateData,
        #[serde(deserialize_with = "there")] chance_worse: Option<f64>,
        label: String,
        strings: Vec<CarrierData>,
    }

    ConstructionData { yarn: String, strands: u32, plies: u32, }

    EffectLineData {
        #[serde(deserialize_with = "there")] bow_kind: Option<String>,
        #[serde(deserialize_with = "there")] construction: Option<ConstructionData>,
        #[serde(deserialize_with = "there")] table_figure: Option<f64>,
        #[serde(deserialize_with = "there")] own_figure: Option<f64>,
        prior_sd: f64,
        now: f64,
        now_sd: f64,
        readings: u32,
    }

    OutlierData { report: String, ratio: f64, off_sd: f64, }

    SettlingData { yarn: String, prior_inch: Inch, prior_sd_inch: Inch, now_inch: Inch, readings: u32, }

    EffectsData = "effects/1" {
        readings: u32,
        shop: EffectLineData,
        lines: Vec<EffectLineData>,
        outliers: Vec<OutlierData>,
        settling: Vec<SettlingData>,
    }

    BenchTestData = "bench-test/1", list "bench-tests/1" {
        construction: ConstructionData,
        turns_few: f64,
        length_few_inch: Inch,
        turns_many: f64,
        length_many_inch: Inch,
        turn_constant: f64,
        twist_radius_inch: Inch,
        #[serde(deserialize_with = "there")] table_radius_inch: Option<Inch>,
        made_on: NaiveDate,
        #[serde(deserialize_with = "there")] maker: Option<String>,
        in_use: bool,
    }

    SceneData {
        report: String,
        string: String,
        title: String,
        advice: AdviceData,
        letter: String,
    }

    DemoData = "demo/1" { book: String, strings: u32, scenes: Vec<SceneData>, month: serde_json::Value, }

    ErrorData { kind: String, message: String, hints: Vec<String>, }
}

/// Every schema with its keys, as `docs/commands-notes.md` has to name them.
pub(crate) fn schemas() -> Vec<(&'static str, Vec<&'static str>)> {
    fn of<T: Data>() -> (&'static str, Vec<&'static str>) {
        (T::SCHEMA, T::KEYS.to_vec())
    }
    vec![
        of::<InitData>(),
        of::<DemoData>(),
        of::<StringData>(),
        of::<StrikeData>(),
        of::<BowCardData>(),
        of::<ImportData>(),
        of::<Vec<FoundData>>(),
        of::<ReportData>(),
        of::<Vec<ReportData>>(),
        of::<Vec<ReportLine>>(),
        of::<Vec<StruckLine>>(),
        of::<MailData>(),
        of::<HistoryData>(),
        of::<AdviceData>(),
        of::<LetterData>(),
        of::<RemakeData>(),
        of::<SettledData>(),
        of::<DueData>(),
        of::<SpoolData>(),
        of::<Vec<SpoolData>>(),
        of::<TraceData>(),
        of::<CardData>(),
        of::<SheetData>(),
        of::<TwistData>(),
        of::<LengthData>(),
        of::<BenchTestData>(),
        of::<Vec<BenchTestData>>(),
        of::<EffectsData>(),
        of::<SettingData>(),
        of::<Vec<SettingData>>(),
        ("error/1", vec!["kind", "message", "hints"]),
    ]
}
