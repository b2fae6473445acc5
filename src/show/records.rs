//! Strings, reports and settings as text.

use super::names::{cause_name, symptom_name, usual_by, yarn_name};
use super::page::{Meaning, TextPage};
use super::sentences::Style;
use super::strength::{own_strength, strength_line, strength_sum};
use super::terms::decision_line;
use super::{NOT_ON_RECORD, inches, money, signed_inches, turns};
use crate::app::bench::BenchTestView;
use crate::app::bow::BowCard;
use crate::app::effects::{EffectLine, EffectsView};
use crate::app::find::FoundView;
use crate::app::imports::ImportView;
use crate::app::settings::SettingView;
use crate::app::views::{BowView, ReadingView, ReportLine, ReportView, SentView, StringView};
use crate::quantity::Unit;
use crate::trade::setting::{Setting, ValueKind};
use crate::trade::words::{LengthAt, ReadBy, Stave, Tips};

fn dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "-".to_owned())
}

fn bow_line(bow: &BowView, unit: Unit) -> String {
    let mut parts = vec![bow.kind.to_string()];
    parts.extend(bow.marked_length_inch.map(|length| format!("marked {}", inches(length, unit))));
    parts.extend(bow.nock_to_nock_inch.map(|length| format!("nock to nock {}", inches(length, unit))));
    parts.extend(bow.draw_weight_lb.map(|pounds| format!("{} lb", (pounds * 10.0).round() / 10.0)));
    parts.extend((bow.tips != Tips::Unknown).then(|| format!("{} tips", bow.tips)));
    parts.extend((bow.stave != Stave::Unknown).then(|| match bow.stave {
        Stave::Wood => "wood alone".to_owned(),
        other => other.to_string(),
    }));
    parts.extend(bow.year.map(|year| format!("made {year}")));
    parts.extend(bow.maker_allows_low_stretch.then(|| "its maker allows low-stretch yarn".to_owned()));
    parts.join(", ")
}

fn brace_range(bow: &BowView, unit: Unit) -> String {
    match bow.brace_low_inch.zip(bow.brace_high_inch) {
        Some((low, high)) => format!("{} to {} by its maker", inches(low, unit), inches(high, unit)),
        None if bow.range_unknown => {
            "nobody knows what its maker gives; the table's, in small steps".to_owned()
        }
        None => "not known from its maker".to_owned(),
    }
}

fn at(at: LengthAt) -> &'static str {
    match at {
        LengthAt::Loaded => "loaded",
        LengthAt::HandTight => "hand-tight",
        LengthAt::Unknown => "measured no one knows how",
    }
}

/// A string's card with its history.
pub fn string(page: &mut TextPage, view: &StringView, style: &Style) {
    string_card(page, view, style);
    let mut reports: Vec<&ReportView> = view.reports.iter().chain(&view.struck_reports).collect();
    reports.sort_by_key(|report| report.number);
    for report in &reports {
        page.gap();
        self::report(page, report, style, false);
    }
    if reports.is_empty() {
        page.gap().line(Meaning::Aside, "No report of this string.");
    }
}

/// What is said at once of a string that was entered and is too weak for its bow.
#[must_use]
pub fn below_floor_notice(view: &StringView) -> Option<String> {
    let sum = view.strength.below()?;
    let own = own_strength(sum).map(|own| format!(" {own}")).unwrap_or_default();
    Some(format!(
        "{0} is recorded as below the floor of strength and must not be shot: {1}.{own} Its letter: fistmele letter --string {0}",
        view.serial,
        strength_sum(sum)
    ))
}

/// Most strings below the floor that an import tells one by one; the peg and JSON hold all.
const MOST_WEAK: usize = 20;

/// What an import left alone because it is struck.
pub fn struck_of_import(page: &mut TextPage, view: &ImportView) {
    if view.struck > 0 {
        page.line(
            Meaning::Caution,
            format!(
                "{} of them struck in the book: left as they are, whatever the file says (sold show says why, unstrike brings one back).",
                view.struck
            ),
        );
    }
}

/// Which strings of an import share a bow.
pub fn bows_of_import(page: &mut TextPage, view: &ImportView) {
    if view.same_bow > 0 {
        page.line(
            Meaning::Aside,
            format!(
                "{} of them for a bow that its archer has already (same kind and marked length); --bows-apart keeps them apart, bow apart does it for one.",
                view.same_bow
            ),
        );
    }
    if view.bow_kept_apart > 0 {
        page.line(
            Meaning::Aside,
            format!(
                "{} of them beside a bow that looks like it, because more is known that speaks against it, or the archer has several; bow same joins one.",
                view.bow_kept_apart
            ),
        );
    }
}

/// Strings of an import that must not be shot.
pub fn below_floor(page: &mut TextPage, view: &ImportView) {
    if !view.below_floor.is_empty() {
        let many = view.below_floor.len();
        page.gap().paragraph(
            Meaning::Caution,
            format!(
                "{many} {} below the floor of strength and must not be shot; each has a letter that says so:",
                if many == 1 { "of them is" } else { "of them are" }
            ),
        );
        for weak in view.below_floor.iter().take(MOST_WEAK) {
            page.point_with_command(
                Meaning::Caution,
                format!(
                    "{}: {}",
                    weak.string,
                    weak.strength.sum.as_ref().map(strength_sum).unwrap_or_default()
                ),
                format!("fistmele letter --string {}", weak.string),
            );
        }
        if many > MOST_WEAK {
            page.line(Meaning::Aside, format!("and {} more: see them with fistmele due", many - MOST_WEAK));
        }
    }
    if view.strength_not_checked > 0 {
        page.gap().line(
            Meaning::Aside,
            format!(
                "Strength not checked of {}: draw weight, strands or yarn are not known.",
                view.strength_not_checked
            ),
        );
    }
}

/// A string's card without its history.
pub fn string_card(page: &mut TextPage, view: &StringView, style: &Style) {
    let unit = style.unit;
    let len = |value: f64| inches(value, unit);
    page.line(Meaning::Heading, format!("String {}", view.serial));
    if let Some(mark) = &view.struck {
        page.line(Meaning::Caution, format!("[{mark}] nothing is worked out from it"));
    }
    if view.strength.below().is_some() {
        page.paragraph(Meaning::Caution, "Do not shoot this string: it is below the floor of strength.");
    }
    let archer = [view.archer.name.clone(), view.archer.email.clone()]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ");
    page.field("archer", (!archer.is_empty()).then_some(archer));
    for former in &view.former_addresses {
        page.field("address was", Some(format!("{} until {}", former.email, former.until_on)));
    }
    page.field("measures in", view.archer.unit.map(|unit| format!("{unit}: letters go in it")));
    page.field("order", view.order_ref.as_deref());
    let delivered = view.delivered_on.map(|day| format!(", delivered {day}")).unwrap_or_default();
    page.field("sold", Some(format!("{}{delivered}", view.sold_on)));
    page.field("bow", Some(bow_line(&view.bow, unit)));
    page.field("brace range", Some(brace_range(&view.bow, unit)));
    // A replacement is for the same bow anyway.
    let same: Vec<&str> =
        view.same_bow.iter().filter(|other| !view.chain.contains(other)).map(String::as_str).collect();
    page.field("same bow as", (!same.is_empty()).then(|| same.join(", ")));
    let stated = view.stated_inch.map(|stated| {
        format!(
            ": stated {}{}",
            len(stated),
            view.offset_inch
                .filter(|offset| offset.abs() > 1e-9)
                .map(|offset| format!(" less {}", len(offset)))
                .unwrap_or_default()
        )
    });
    page.field("sized by", Some(format!("{}{}", view.route, stated.unwrap_or_default())));
    let ordered = view.ordered_length_inch.map(|ordered| format!("{} loaded", len(ordered)));
    page.field("ordered", Some(ordered.unwrap_or_else(|| NOT_ON_RECORD.to_owned())));
    page.field("built", view.built_length_inch.map(|built| format!("{} {}", len(built), at(view.built_at))));
    let strands = view
        .strands
        .map_or_else(|| "strands not recorded".to_owned(), |strands| format!("{strands} strands"));
    let plies = view.plies.map_or_else(|| "plies not known".to_owned(), |plies| format!("in {plies} plies"));
    let lay = view.lay.map_or_else(|| "lay not known".to_owned(), |lay| format!("{lay} lay"));
    page.field("made of", Some(format!("{}, {strands} {plies}, {lay}", yarn_name(view.yarn))));
    page.field("strength", Some(strength_line(&view.strength)));
    page.field(
        "turns",
        view.turns_taken.map(|taken| {
            let window =
                view.turns_min.zip(view.turns_max).map(|(min, max)| format!(" (window {min} to {max})"));
            match view.turns {
                Some(built) => format!("{} as built{}", round(built), window.unwrap_or_default()),
                None => {
                    let by = view.usual_turns.map(|from| format!(", {}", usual_by(from)));
                    format!(
                        "not recorded, usually {}{}{}",
                        round(taken),
                        by.unwrap_or_default(),
                        window.unwrap_or_default()
                    )
                }
            }
        }),
    );
    page.field(
        "serving",
        view.serving_inch.map(|serving| {
            format!("{} {} the middle", len(serving.abs()), if serving >= 0.0 { "above" } else { "below" })
        }),
    );
    page.field("pre-stretched", view.pre_stretched.map(yes_no));
    page.field("silencers", view.silencers.map(yes_no));
    page.field("colours", view.colours.as_deref());
    page.field("spool", view.spool.as_deref());
    page.field("made by", view.maker.as_deref().or(view.maker_initials.as_deref()));
    page.field("price", view.price_cents.map(|cents| money(cents, &style.currency)));
    page.field("replaces", view.replaces.as_deref());
    page.field("replaced by", (!view.replaced_by.is_empty()).then(|| view.replaced_by.join(", ")));
    page.field("chain", (!view.chain.is_empty()).then(|| view.chain.join(" > ")));
    page.field(
        "cost so far",
        (view.archer_cost_cents > 0).then(|| {
            format!(
                "{} for this string, {} for all of this archer's",
                money(view.cost_cents, &style.currency),
                money(view.archer_cost_cents, &style.currency)
            )
        }),
    );
    letter_list(page, view.letters.iter());
}

/// That a string may be one which the book has already.
#[must_use]
pub fn twice(serial: &str, other: &str) -> String {
    format!(
        "{other} was sold on the same day, for the same bow and to the same measures. If {serial} is that string, entered twice, strike it."
    )
}

/// What a string that was just entered shares with the archer's others, and how to say otherwise.
pub fn bow_offer(page: &mut TextPage, view: &StringView, style: &Style) {
    let marked = view.bow.marked_length_inch.map(|length| format!(" marked {}", inches(length, style.unit)));
    let bow = format!("{}{}", view.bow.kind, marked.unwrap_or_default());
    for other in &view.bows_alike {
        page.gap().line(
            Meaning::Caution,
            format!("The book has another {bow} of this archer, that of {other}. If it is the same bow:"),
        );
        page.next(format!("  fistmele bow same {} {other}", view.serial));
    }
    if let Some(other) = view.twins.last() {
        page.gap().line(Meaning::Caution, twice(&view.serial, other));
        page.next(format!("  fistmele strike {} --why \"entered twice\"", view.serial));
    }
    if let Some(other) = view.same_bow.iter().find(|other| !view.chain.contains(other)) {
        page.gap().line(Meaning::Aside, format!("It is for the bow of {other}. If it is another bow:"));
        page.next(format!("  fistmele bow apart {}", view.serial));
    }
}

/// A bow with its strings and what their readings taught.
pub fn bow(page: &mut TextPage, view: &BowCard, style: &Style) {
    let unit = style.unit;
    let serials = view.strings.iter().map(|string| string.serial.as_str()).collect::<Vec<_>>().join(", ");
    page.line(Meaning::Heading, format!("The bow of {serials}"));
    page.field("archer", view.archer.name.as_deref().or(view.archer.email.as_deref()));
    page.field("bow", Some(bow_line(&view.bow, unit)));
    page.field("brace range", Some(brace_range(&view.bow, unit)));
    page.field(
        "answers",
        view.answers_ratio.zip(view.answers_log_sd).map(|(ratio, sd)| {
            format!(
                "{:.2} times what the table of its kind says (about {:.2} to {:.2}), by second readings with {}",
                ratio,
                ratio * (-1.64 * sd).exp(),
                ratio * (1.64 * sd).exp(),
                view.taught_by.as_deref().unwrap_or_default()
            )
        }),
    );
    if view.answers_ratio.is_none() {
        page.field("answers", Some("by the table of its kind; no second reading has shown otherwise"));
    }
    page.gap().table(
        &["string", "sold", "sized by", "ordered", "reports"],
        view.strings.iter().map(|string| {
            vec![
                string.serial.clone(),
                string.sold_on.to_string(),
                string.route.to_string(),
                string
                    .ordered_length_inch
                    .map_or_else(|| NOT_ON_RECORD.to_owned(), |ordered| inches(ordered, unit)),
                string.reports.to_string(),
            ]
        }),
    );
    let newest = view.strings.last().map(|string| string.serial.as_str()).unwrap_or_default();
    for other in &view.alike {
        page.gap().line(
            Meaning::Aside,
            format!("The archer has another bow like it, that of {other}. If the two are one:"),
        );
        page.next(format!("  fistmele bow same {newest} {other}"));
    }
}

const fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

fn round(turns: f64) -> String {
    format!("{}", (turns * 10.0).round() / 10.0)
}

fn reading_line(reading: &ReadingView, unit: Unit) -> String {
    let len = |value: f64| inches(value, unit);
    let mut parts = Vec::new();
    parts.extend(reading.turns_changed.map(|changed| {
        let total = if (reading.turns_changed_total - changed).abs() > 1e-9 {
            format!(" ({:+} since it left)", reading.turns_changed_total)
        } else {
            String::new()
        };
        format!("{} {}{total}", turns(changed.abs()), if changed >= 0.0 { "in" } else { "out" })
    }));
    parts.extend(reading.brace_inch.map(|brace| {
        let times = reading.readings.filter(|n| *n > 1).map(|n| format!(" (mean of {n})"));
        let by = if reading.read_by == Some(ReadBy::Strip) { " by paper strip" } else { "" };
        format!("brace height {}{by}{}", len(brace), times.unwrap_or_default())
    }));
    parts.extend(reading.want_low_inch.zip(reading.want_high_inch).map(|(low, high)| {
        if high - low < 1e-9 {
            format!("wants {}", len(low))
        } else {
            format!("wants {} to {}", len(low), len(high))
        }
    }));
    parts.extend(reading.length_inch.map(|length| {
        format!("string {} {}", len(length), at(reading.length_at.unwrap_or(LengthAt::HandTight)))
    }));
    parts.extend(
        reading
            .turns_counted
            .zip(reading.counted_over_inch)
            .map(|(count, over)| format!("counted {} over {}", round(count), len(over))),
    );
    parts.extend(reading.free_string_inch.map(|_| "four fade measures".to_owned()));
    parts.extend(reading.shots.map(|shots| format!("{shots} shots")));
    parts.extend(reading.marker.map(|marker| format!("marker {marker}")));
    parts.extend(reading.serving_inch.map(|serving| format!("serving {}", signed_inches(serving, unit))));
    parts.extend(reading.photo.map(|photo| format!("photo: {photo}")));
    if parts.is_empty() { "no measurement".to_owned() } else { parts.join(", ") }
}

/// A report.
pub fn report(page: &mut TextPage, view: &ReportView, style: &Style, whole: bool) {
    let unit = style.unit;
    page.line(Meaning::Heading, format!("Report {} of {}", view.report, view.received_on));
    if let Some(mark) = &view.struck {
        page.line(Meaning::Caution, format!("[{mark}] nothing is worked out from it"));
    }
    if let Some(day) = view.to_take_back {
        page.line(
            Meaning::Caution,
            format!(
                "its letter of {day} is still with the archer: the letter that takes it back has to go out"
            ),
        );
    }
    if whole {
        page.field("string", Some(&view.string));
        page.field("archer", view.archer.as_deref());
    }
    let symptoms: Vec<&str> = view.symptoms.iter().map(|symptom| symptom_name(*symptom)).collect();
    page.field("says", Some(symptoms.join(", ")));
    let verdict = view.verdict.map(|verdict| format!(", last verdict: {verdict}"));
    // What is struck waits for nobody.
    let stands = format!("{}{}", view.standing, verdict.unwrap_or_default());
    page.field("stands", Some(stands).filter(|_| view.struck.is_none()));
    page.field("replacement", (!view.remakes.is_empty()).then(|| view.remakes.join(", ")));
    page.field(
        "settled",
        view.settled_on.zip(view.outcome.zip(view.cause)).map(|(day, (outcome, cause))| {
            let right = view.right_length_inch.map(|right| format!(", right length {}", inches(right, unit)));
            format!("{day}: {outcome}, {}{}", cause_name(cause), right.unwrap_or_default())
        }),
    );
    // By their places: those that were struck stand among the others.
    let mut readings: Vec<&ReadingView> = view.readings.iter().chain(&view.struck_readings).collect();
    readings.sort_by_key(|reading| reading.place());
    for reading in readings {
        let line = format!("{}: {}", reading.taken_on, reading_line(reading, unit));
        match &reading.struck {
            Some(mark) => page.struck(&reading.reading, line, mark.to_string()),
            None => page.field(&reading.reading, Some(line)),
        };
    }
    for decision in &view.decisions {
        page.field("decided", Some(decision_line(decision, style)));
    }
    letter_list(page, view.letters.iter().chain(&view.struck_letters));
    for text in view.texts.iter().filter(|_| whole) {
        page.gap();
        page.quote(text);
    }
}

/// Day and kind of a letter that went out, and whom it went to.
#[must_use]
pub fn sent_line(sent: &SentView) -> String {
    let to = sent.to.as_ref().map(|to| format!(", to {to}")).unwrap_or_default();
    format!("{}: {}{to}", sent.sent_on, sent.letter)
}

fn letter_list<'a>(page: &mut TextPage, letters: impl Iterator<Item = &'a SentView>) {
    let mut letters: Vec<&SentView> = letters.collect();
    letters.sort_by_key(|letter| letter.sent_on);
    for letter in letters {
        let name = letter.id.as_deref().unwrap_or("letter");
        match &letter.struck {
            Some(mark) => page.struck(name, sent_line(letter), mark.to_string()),
            None => page.field(name, Some(sent_line(letter))),
        };
    }
}

/// Letters as they went out.
pub fn letters(page: &mut TextPage, letters: &[SentView]) {
    for letter in letters {
        page.gap().line(Meaning::Heading, format!("Letter of {}", sent_line(letter))).gap();
        for line in letter.text.lines() {
            page.line(Meaning::Plain, line);
        }
    }
}

/// Every letter of a string as it went out, those that no report led to first.
pub fn letters_of_string(page: &mut TextPage, view: &StringView) {
    letters(page, &view.letters);
    for report in &view.reports {
        letters(page, &report.letters);
    }
}

/// The list of reports.
pub fn report_list(page: &mut TextPage, lines: &[ReportLine]) {
    page.table(
        &["report", "string", "archer", "came in", "says", "verdict", "stands"],
        lines.iter().map(|line| {
            vec![
                line.report.clone(),
                line.string.clone(),
                dash(line.archer.clone()),
                line.received_on.to_string(),
                line.symptoms.iter().map(|symptom| symptom.as_str()).collect::<Vec<_>>().join(" "),
                dash(line.verdict.map(|verdict| verdict.to_string())),
                line.standing.to_string(),
            ]
        }),
    );
}

/// What a search found.
pub fn found(page: &mut TextPage, lines: &[FoundView]) {
    page.table(
        &["string", "order", "archer", "e-mail", "sold", "reports"],
        lines.iter().map(|line| {
            vec![
                line.serial.clone(),
                dash(line.order_ref.clone()),
                dash(line.archer.clone()),
                dash(line.email.clone()),
                line.sold_on.to_string(),
                line.reports.to_string(),
            ]
        }),
    );
}

/// A kept value as people read it.
#[must_use]
pub fn setting_value(setting: &Setting, kept: &str, unit: Unit, currency: &str) -> String {
    let number = kept.parse::<f64>().ok();
    match (setting.kind, number) {
        (ValueKind::Length(..), Some(value)) if unit == Unit::Inch && (value * 16.0).fract().abs() > 1e-9 => {
            format!("{value} in")
        }
        (ValueKind::Length(..), Some(value)) => inches(value, unit),
        (ValueKind::Money, Some(value)) => money(value as i64, currency),
        (ValueKind::BraceRange, _) => kept
            .split_once("..")
            .and_then(|(low, high)| Some((low.parse().ok()?, high.parse().ok()?)))
            .map_or_else(
                || kept.to_owned(),
                |(low, high)| format!("{} to {}", inches(low, unit), inches(high, unit)),
            ),
        _ => kept.to_owned(),
    }
}

/// The list of settings.
pub fn setting_list(page: &mut TextPage, views: &[SettingView], unit: Unit, currency: &str) {
    let value = |view: &SettingView, kept: &Option<String>| match (&view.setting, kept) {
        (Some(setting), Some(kept)) => setting_value(setting, kept, unit, currency),
        _ => "-".to_owned(),
    };
    page.table(
        &["setting", "value", "set on", "what it is"],
        views.iter().map(|view| {
            vec![
                view.name.clone(),
                value(view, &view.value),
                dash(view.set_on.map(|day| day.to_string())),
                view.about.clone(),
            ]
        }),
    );
}

/// One setting with its history.
pub fn setting(page: &mut TextPage, view: &SettingView, unit: Unit, currency: &str) {
    let shown = |kept: &Option<String>| match (&view.setting, kept) {
        (Some(setting), Some(kept)) => setting_value(setting, kept, unit, currency),
        _ => "not set".to_owned(),
    };
    page.line(Meaning::Answer, format!("{} = {}", view.name, shown(&view.value)));
    page.field("what it is", Some(&view.about));
    page.field("default", Some(shown(&view.default)));
    for step in &view.history {
        let value = if step.value.is_none() { "back to the default".to_owned() } else { shown(&step.value) };
        let why = step.why.as_ref().map(|why| format!(", because: {why}")).unwrap_or_default();
        page.field(&step.set_on.to_string(), Some(format!("{value}{why}")));
    }
}

/// The bench tests.
pub fn bench_list(page: &mut TextPage, views: &[BenchTestView], unit: Unit) {
    page.table(
        &["construction", "measured", "turn constant", "against the table", "day", "by", ""],
        views.iter().map(|view| {
            vec![
                construction(view.construction),
                format!(
                    "{} at {}, {} at {}",
                    inches(view.length_few_inch, unit),
                    turns(view.turns_few),
                    inches(view.length_many_inch, unit),
                    turns(view.turns_many)
                ),
                format!("{:.6} in/turn²", view.turn_constant),
                dash(
                    view.table_radius_inch
                        .map(|table| format!("x {:.2}", (view.twist_radius_inch / table).powi(2))),
                ),
                view.made_on.to_string(),
                dash(view.maker.clone()),
                if view.in_use { "in use".to_owned() } else { String::new() },
            ]
        }),
    );
}

fn construction(construction: crate::mechanics::twist::Construction) -> String {
    format!("{} {} x {}", construction.strands, yarn_name(construction.yarn), construction.plies)
}

/// The table of effects.
pub fn effects(page: &mut TextPage, view: &EffectsView, unit: Unit) {
    page.paragraph(
        Meaning::Answer,
        match view.readings {
            0 => "No second readings yet: every figure is that of the tables.".to_owned(),
            1 => "One second reading. Effect: how much more (+) or less (-) turns do than the tables say."
                .to_owned(),
            n => format!(
                "{n} second readings. Effect: how much more (+) or less (-) turns do than the tables say."
            ),
        },
    );
    page.gap();
    let share = |value: f64| format!("{:+.0} %", value * 100.0);
    let row = |name: String, line: &EffectLine| {
        let figure = |figure: Option<f64>| dash(figure.map(|figure| format!("{figure:.3}")));
        vec![
            name,
            line.readings.to_string(),
            figure(line.table_figure),
            figure(line.own_figure),
            format!("± {:.0} %", line.prior_sd * 100.0),
            format!("{} ± {:.0} %", share(line.now), line.now_sd * 100.0),
        ]
    };
    let mut rows = vec![row("all strings".to_owned(), &view.shop)];
    rows.extend(view.lines.iter().map(|line| {
        let name = match (line.bow_kind, line.construction) {
            (Some(kind), _) => kind.to_string(),
            (None, Some(made)) => construction(made),
            (None, None) => String::new(),
        };
        row(name, line)
    }));
    page.table(&["", "readings", "table", "own", "prior", "effect now"], rows);
    if !view.outliers.is_empty() {
        page.heading("Left out, more than 3 sd off");
        for outlier in &view.outliers {
            page.point(
                Meaning::Caution,
                format!(
                    "{}: {:.2} times the predicted effect, {:+.1} sd",
                    outlier.report, outlier.ratio, outlier.off_sd
                ),
            );
        }
    }
    page.heading("Settling of a pre-stretched string");
    page.table(
        &["yarn", "by the settings", "now", "readings"],
        view.settling.iter().map(|line| {
            vec![
                yarn_name(line.yarn).to_owned(),
                format!("{:.3} ± {:.3} in", line.prior_inch, line.prior_sd_inch),
                format!("{:.3} in ({})", line.now_inch, super::small(line.now_inch, unit)),
                line.readings.to_string(),
            ]
        }),
    );
}
