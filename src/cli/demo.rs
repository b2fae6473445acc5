//! `demo`: a book with invented data, and a walk through the main job.

use std::path::Path;

use clap::Args;
use serde::Serialize;

use super::session::{Session, tell};
use crate::app::advise::{self, Answer};
use crate::app::bow::WhichBow;
use crate::app::cases::Way;
use crate::app::logging::NewReport;
use crate::app::sold::NewSold;
use crate::app::{self, demo};
use crate::book::{Author, Book, Unfinished};
use crate::error::Problem;
use crate::letters::{self, LetterKind};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Measure, Turns, Unit, parse_length, parse_range};
use crate::show::page::{Meaning, TextPage};
use crate::show::{advice, month_sentences, sentences::Style};
use crate::trade::plausible::Whole;
use crate::trade::records::{Archer, BowChanges, BowProfile, Measurements, SoldString};
use crate::trade::words::{Route, Symptom, Tips};

#[derive(Debug, Args)]
#[command(
    after_help = "Without --book the book is a new temporary file; an existing book is never written to.
Example: fistmele demo --book look.db"
)]
pub(super) struct Demo {
    /// How many strings.
    #[arg(long, value_name = "N", default_value = "600")]
    strings: String,
    /// Which draw of invented data.
    #[arg(long, value_name = "K", default_value = "1")]
    seed: u64,
}

/// One case of the walk.
struct Scene {
    title: &'static str,
    mail: &'static str,
    options: &'static str,
    archer: (&'static str, &'static str),
    bow: BowProfile,
    yarn: Yarn,
    strands: u32,
    turns: f64,
    stated: &'static str,
    ordered: &'static str,
    symptoms: Vec<Symptom>,
    brace: Option<&'static str>,
    readings: Option<u32>,
    want: Option<&'static str>,
    shots: Option<u32>,
}

fn scenes() -> Result<Vec<Scene>, Problem> {
    let length = |text: &str| parse_length(text, Unit::Inch, Measure::BowLength);
    let range = |text: &str| parse_range(text, Unit::Inch, Measure::WantedBrace);
    let recurve = BowProfile {
        kind: BowKind::Recurve,
        marked_length: Some(length("62")?),
        brace_range: Some(range("7 1/2..8")?),
        tips: Tips::Reinforced,
        year: Some(2019),
        ..BowProfile::default()
    };
    let longbow = BowProfile {
        kind: BowKind::Longbow,
        marked_length: Some(length("68")?),
        brace_range: Some(range("6 1/4..6 3/4")?),
        tips: Tips::Reinforced,
        ..BowProfile::default()
    };
    let old = BowProfile {
        kind: BowKind::Recurve,
        marked_length: Some(length("60")?),
        year: Some(1974),
        ..BowProfile::default()
    };
    Ok(vec![
        Scene {
            title: "put right on the bow",
            mail: "Hello, the new string is lovely but my brace height is 6 7/8 and should be 7 1/2 to 8. I have shot about 150 arrows.",
            options: "--symptom brace-low --brace 6-7/8 --want 7-1/2..8 --shots 150",
            archer: ("Maelis Ostwick", "maelis@example.org"),
            bow: recurve,
            yarn: Yarn::Hmpe,
            strands: 16,
            turns: 24.0,
            stated: "62",
            ordered: "58 3/8",
            symptoms: vec![Symptom::BraceLow],
            brace: Some("6 7/8"),
            readings: None,
            want: Some("7 1/2..8"),
            shots: Some(150),
        },
        Scene {
            title: "made again free",
            mail: "It stands at 7 3/4, measured three times, and the bow's maker says 6 1/4 to 6 3/4. I have let out what I dared.",
            options: "--symptom brace-high --brace 7-3/4 --readings 3",
            archer: ("Hanno Skelwith", "hanno@example.net"),
            bow: longbow,
            yarn: Yarn::Polyester,
            strands: 14,
            turns: 31.0,
            stated: "68",
            ordered: "65",
            symptoms: vec![Symptom::BraceHigh],
            brace: Some("7 3/4"),
            readings: Some(3),
            want: None,
            shots: None,
        },
        Scene {
            title: "stop",
            mail: "Brace height is fine at 7 3/4. I put your HMPE string on my father's recurve from 1974; is that all right? It is rather loud.",
            options: "--symptom noisy --brace 7-3/4",
            archer: ("Sunniva Inchbald", "sunniva@example.com"),
            bow: old,
            yarn: Yarn::Hmpe,
            strands: 16,
            turns: 26.0,
            stated: "60",
            ordered: "56",
            symptoms: vec![Symptom::Noisy],
            brace: Some("7 3/4"),
            readings: None,
            want: None,
            shots: None,
        },
    ])
}

#[derive(Serialize)]
struct SceneView {
    report: String,
    string: String,
    title: &'static str,
    advice: serde_json::Value,
    letter: String,
}

#[derive(Serialize)]
struct DemoView {
    book: String,
    strings: i64,
    scenes: Vec<SceneView>,
    month: MonthPart,
}

/// The month sheet of the walk.
#[derive(Serialize)]
struct MonthPart {
    month: String,
    sentences: Vec<String>,
    commands: Vec<String>,
}

impl Demo {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let strings =
            super::args::count(Some(&self.strings), "strings", Whole { low: 0, high: demo::MOST_STRINGS })?
                .unwrap_or_default();
        let author = session.author()?;
        let (path, kept) = match session.named_book() {
            Some(path) => (path, None),
            None => {
                let make = || tempfile::Builder::new().prefix("fistmele-demo-").tempdir();
                let (folder, unfinished) = Unfinished::begin(make)
                    .map_err(|error| Problem::file(Path::new("the temporary folder"), "written", &error))?;
                (folder.path().join("book.db"), Some((folder, unfinished)))
            }
        };
        let mut book = Book::create(&path)?;
        demo::fill(&mut book, strings, self.seed, &author, &mut |done| {
            if Session::shows_progress() && done % 5000 == 0 {
                tell(&format!("{done} strings"));
            }
        })?;
        let mut shown = Vec::new();
        for scene in scenes()? {
            shown.push(play(&mut book, scene, &author)?);
        }
        // From here on the book is somebody's to look at: the temporary folder stays.
        if let Some((folder, _unfinished)) = kept {
            let _ = folder.keep();
        }
        let style = session.style(&app::rules(&mut book)?);
        let count = app::sold::count(&mut book)?;
        let running = app::month::month_of(None, author.day)?;
        let sheet = app::month::sheet(&mut book, running, author.day)?;
        let view = DemoView {
            book: path.display().to_string(),
            strings: count,
            scenes: shown
                .iter()
                .map(|played| {
                    Ok(SceneView {
                        report: played.answer.view.report.clone(),
                        string: played.answer.view.string.clone(),
                        title: played.title,
                        advice: advice::json(&played.answer.view, &style),
                        letter: letters::letter(
                            LetterKind::for_answer(&played.answer, &played.way),
                            &played.answer,
                            &played.way,
                            &style,
                            None,
                        )?,
                    })
                })
                .collect::<Result<_, Problem>>()?,
            month: MonthPart {
                month: sheet.month.clone(),
                sentences: month_sentences::sentences(&sheet, &style),
                commands: month_sentences::commands(&sheet),
            },
        };
        session.answer("demo/1", &view, |page, _| walk(page, &view, &shown, &style))
    }
}

struct Played {
    title: &'static str,
    mail: &'static str,
    options: &'static str,
    answer: Answer,
    way: Way,
}

/// Sells the string, logs the report, works out the verdict.
fn play(book: &mut Book, scene: Scene, author: &Author) -> Result<Played, Problem> {
    let sold_on = author.day - chrono::Days::new(30);
    let ordered = parse_length(scene.ordered, Unit::Inch, Measure::StringLength)?;
    let mut string = SoldString::new(String::new(), sold_on, Route::Marked, ordered);
    string.delivered_on = Some(sold_on + chrono::Days::new(4));
    string.stated = Some(parse_length(scene.stated, Unit::Inch, Measure::BowLength)?);
    string.offset = string.stated.map(|stated| stated - ordered);
    string.built = Some(ordered);
    string.yarn = scene.yarn;
    string.strands = Some(scene.strands);
    string.turns = Turns::new(scene.turns);
    string.pre_stretched = Some(true);
    string.maker = Some("Bo Tamsin".to_owned());
    string.maker_initials = Some("BT".to_owned());
    let new = NewSold {
        serial: None,
        archer: Archer { name: Some(scene.archer.0.to_owned()), email: Some(scene.archer.1.to_owned()) },
        bow: scene.bow,
        which: WhichBow::Usual,
        string,
    };
    let sold = app::sold::add(book, new, author)?;
    let read =
        |text: Option<&str>| text.map(|text| parse_length(text, Unit::Inch, Measure::Brace)).transpose();
    let report = NewReport {
        serial: sold.serial,
        symptoms: scene.symptoms,
        measured: Measurements {
            brace: read(scene.brace)?,
            readings: scene.readings,
            want: scene.want.map(|text| parse_range(text, Unit::Inch, Measure::WantedBrace)).transpose()?,
            shots: scene.shots,
            ..Measurements::default()
        },
        bow: BowChanges::default(),
        received_on: author.day,
        text: Some(scene.mail.to_owned()),
        whole: None,
        no_damage: false,
        // Whoever answers has read the mail.
        no_danger: true,
        new_address: None,
        fits: false,
        mail: None,
        unit: None,
        separate: true,
        questions: Vec::new(),
        unspoken: None,
    };
    let logged = app::logging::add(book, report, author)?;
    let answer = advise::advise(book, &logged.view.report, author)?;
    let way = app::cases::way(book, &logged.view.report, author.day)?;
    Ok(Played { way, title: scene.title, mail: scene.mail, options: scene.options, answer })
}

fn walk(page: &mut TextPage, view: &DemoView, played: &[Played], style: &Style) {
    page.paragraph(
        Meaning::Plain,
        format!(
            "A book with {} invented strings of the Long Bench at Otterhithe is at {}. Three mails have come in; this is how each is answered.",
            view.strings, view.book
        ),
    );
    for (scene, shown) in played.iter().zip(&view.scenes) {
        page.heading(format!("=== {}: {} ===", shown.report, scene.title));
        page.paragraph(Meaning::Aside, format!("\"{}\"", scene.mail)).gap();
        page.line(
            Meaning::Plain,
            format!("$ fistmele report add {} {} --no-danger", shown.string, scene.options),
        );
        page.line(Meaning::Plain, format!("$ fistmele advise {}", shown.report)).gap();
        advice::text(page, &scene.answer.view, style);
        page.gap();
        page.line(Meaning::Plain, format!("$ fistmele letter {}", shown.report)).gap();
        for line in shown.letter.lines() {
            page.line(Meaning::Plain, format!("    {line}"));
        }
    }
    page.heading(format!("=== {}: the month sheet ===", view.month.month));
    page.line(Meaning::Plain, "$ fistmele month").gap();
    for (place, sentence) in view.month.sentences.iter().enumerate() {
        page.paragraph(Meaning::Answer, format!("{}. {sentence}", place + 1));
        if let Some(command) = view.month.commands.get(place) {
            page.line(Meaning::Plain, format!("   $ {command}"));
        }
    }
    page.heading("=== Try next ===");
    let book = &view.book;
    let last = view.scenes.first();
    let (string, report) =
        last.map_or(("S-1", "R-1"), |scene| (scene.string.as_str(), scene.report.as_str()));
    let put = played.first().and_then(|scene| scene.answer.view.turns).unwrap_or_default();
    for command in [
        format!("export FISTMELE_BOOK={}", shell_word(book)),
        "fistmele sold find ostwik".to_owned(),
        format!("fistmele sold show {string}"),
        format!("fistmele reading add {report} --turns-changed {put:+} --brace 7-5/8"),
        format!("fistmele advise {report}"),
        "fistmele report list --standing to-answer".to_owned(),
        "fistmele effects".to_owned(),
        "fistmele month --html sheet.html".to_owned(),
        "fistmele size --route marked --kind recurve --stated 62".to_owned(),
        "fistmele quiet list".to_owned(),
    ] {
        page.line(Meaning::Plain, format!("  {command}"));
    }
}

/// A path as a shell reads it.
fn shell_word(text: &str) -> String {
    if text.chars().all(|c| c.is_ascii_alphanumeric() || "/._-".contains(c)) {
        text.to_owned()
    } else {
        format!("'{}'", text.replace('\'', "'\\''"))
    }
}
