//! The card for the parcel: text, and a page of A6 to print; the label holds the same fields.

use minijinja::{Environment, UndefinedBehavior};
use serde::Serialize;

use super::names::yarn_name;
use super::page::{Meaning, TextPage};
use super::reply::code;
use super::sentences::{LEAST_TAG, Style, caution_sentence};
use super::strength::strength_not_checked;
use super::{NOT_ON_RECORD, ends, inches, range, signed_inches, turns};
use crate::app::card::CardView;
use crate::trade::words::{Lay, WantSource};

/// Names and values, in the order they stand on the card.
#[must_use]
pub fn fields(view: &CardView, style: &Style) -> Vec<(&'static str, String)> {
    let style = &style.for_archer(view.unit);
    let len = |value: f64| inches(value, style.unit);
    let mut fields = vec![("string", view.serial.clone())];
    let bow = match view.bow_length_inch {
        Some(length) => format!("{} marked {}", view.bow_kind, len(length)),
        None => view.bow_kind.to_string(),
    };
    fields.push(("for the bow", bow));
    fields.push((
        "loaded length",
        view.loaded_length_inch.map_or_else(
            || NOT_ON_RECORD.to_owned(),
            |length| format!("{} under the workshop's load of {} lb", len(length), view.load_lb),
        ),
    ));
    let plies =
        view.plies.map_or_else(|| ", plies not known".to_owned(), |plies| format!(" x {plies} plies"));
    let strands = view.strands.map_or_else(String::new, |strands| format!(", {strands} strands{plies}"));
    let lay = match view.lay {
        Some(Lay::Z) => "Z lay (right-hand)",
        Some(Lay::S) => "S lay (left-hand)",
        None => "lay not known",
    };
    fields.push(("made of", format!("{}{strands}, {lay}", yarn_name(view.yarn))));
    if view.strength.sum.is_none() {
        fields.push(("strength", strength_not_checked(&view.strength.missing)));
    }
    fields.push((
        "turns",
        match view.turns {
            Some(built) => {
                format!("{} as built, {} to {} allowed", turns(built), view.turns_min, view.turns_max)
            }
            None => format!("{} to {} allowed", view.turns_min, view.turns_max),
        },
    ));
    let by = view.maker_initials.as_deref().map(|initials| format!("{initials}, ")).unwrap_or_default();
    fields.push(("made by", format!("{by}{}", view.date)));
    if let Some((low, high)) = view.brace_low_inch.zip(view.brace_high_inch) {
        let whose = match view.brace_source {
            Some(WantSource::Table) => "usual for such bows; your bow's maker knows better",
            _ => "by the bow's maker",
        };
        fields.push(("brace height", format!("{}, {whose}", range(low, high, style.unit))));
    }
    fields.push((
        "play",
        format!("{} to take in, {} to let out", len(view.play_in_inch), len(view.play_out_inch)),
    ));
    if !view.steps.is_empty() {
        let steps: Vec<String> = view
            .steps
            .iter()
            .map(|step| {
                let way = if step.turns > 0 { "in" } else { "out" };
                format!(
                    "{} {way} {}",
                    turns(f64::from(step.turns.abs())),
                    signed_inches(step.brace_change_inch, style.unit)
                )
            })
            .collect();
        fields.push((
            "by turning",
            format!("brace height {} (about; each turn does a little more than the last)", steps.join(", ")),
        ));
    }
    fields.push(("which end up", "the larger loop with the marker goes on the upper limb".to_owned()));
    if let Some(serving) = view.serving_inch.filter(|serving| serving.abs() > 1e-9) {
        let way = if serving < 0.0 { "below" } else { "above" };
        fields.push((
            "serving",
            format!("its middle sits {} {way} the middle of the string", len(serving.abs())),
        ));
    }
    if view.serving_inch.is_none() {
        fields.push(("serving", "where its middle sits is not known".to_owned()));
    }
    fields.push((
        "loose tag ends",
        format!(
            "are harmless: leave them, wax them in or trim them, but leave {} standing and never cut into the string; where one gets shorter, stop and write to us",
            // Rounded up where it has to be rounded: so much is left at least.
            ends(LEAST_TAG, LEAST_TAG + 1.0, style.unit).0
        ),
    ));
    fields
}

/// The card as text.
pub fn text(page: &mut TextPage, view: &CardView, style: &Style) {
    if !view.workshop.is_empty() {
        page.line(Meaning::Heading, &view.workshop);
    }
    for (name, value) in fields(view, style) {
        page.field(name, Some(value));
    }
    super::sums::cautions(page, &view.cautions);
    page.heading(ONE_READING);
    for line in &view.reply.form {
        page.line(Meaning::Plain, line);
    }
}

/// What every parcel asks for.
const ONE_READING: &str = "One reading, please: it teaches us how your bow answers";

/// How it is taken.
const HOW_TO_READ: &str = "String the bow with a stringer, shoot some twenty arrows if the brace height lies where your bow's maker wants it, and measure three times, from the string straight to the deepest point of the grip, square to the string: write all three down. Look string and bow over from end to end.";

#[derive(Serialize)]
struct CardPage<'a> {
    workshop: &'a str,
    serial: &'a str,
    fields: Vec<(&'static str, String)>,
    label: Vec<(&'static str, String)>,
    cautions: Vec<&'static str>,
    one_reading: &'static str,
    how_to_read: &'static str,
    form: &'a [String],
    code: Option<String>,
}

/// The card as a page that prints on A6: its front, its back with the form, and the small label.
///
/// # Errors
/// The built-in page cannot be filled, which is a fault of the program.
pub fn html(view: &CardView, style: &Style) -> Result<String, minijinja::Error> {
    let fields = fields(view, style);
    let on_label = ["string", "for the bow", "loaded length", "turns", "made by"];
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // Named *.html, so every value is escaped.
    environment.add_template("card.html", include_str!("card.html"))?;
    let page = CardPage {
        workshop: &view.workshop,
        serial: &view.serial,
        label: fields.iter().filter(|(name, _)| on_label.contains(name)).cloned().collect(),
        fields,
        cautions: view.cautions.iter().map(|caution| caution_sentence(*caution)).collect(),
        one_reading: ONE_READING,
        how_to_read: HOW_TO_READ,
        form: &view.reply.form,
        code: view.reply.mailto.as_deref().and_then(code),
    };
    environment.get_template("card.html")?.render(minijinja::Value::from(minijinja::value::Serde(page)))
}
