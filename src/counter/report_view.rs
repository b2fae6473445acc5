//! A report as its page shows it.

use serde::Serialize;

use super::fields::{DECISION, END, FieldView, REPLACEMENT, SaidForm, views};
use super::forms::Filled;
use super::problem::ProblemView;
use super::rule::BraceRule;
use super::string::SentOnPage;
use super::{Open, Shared, sheet, strike, string};
use crate::app;
use crate::app::advise::{Answer, in_force};
use crate::app::cases::Way;
use crate::app::views::ReportView;
use crate::error::Problem;
use crate::letters::{self, LetterKind};
use crate::show::page::TextPage;
use crate::show::{advice, cases, records, web};
use crate::trade::signs::SignStanding;
use crate::trade::words::{Standing, Verdict};

/// The letter that a report needs where it stands.
pub(super) struct Letter {
    pub(super) kind: LetterKind,
    pub(super) text: String,
}

impl Letter {
    /// Fills the letter, by the workshop's own text where there is one.
    pub(super) fn write(shared: &Shared, open: &Open, answer: &Answer, way: &Way) -> Result<Self, Problem> {
        let kind = LetterKind::for_answer(answer, way);
        let own = shared.desk.own_letter(&open.book, &kind.template_name())?;
        Ok(Self { kind, text: letters::letter(kind, answer, way, &open.style, own.as_deref())? })
    }
}

#[derive(Serialize)]
struct LetterView {
    kind: &'static str,
    text: String,
    /// Whom it goes to, as far as the book knows.
    to: Option<String>,
    /// So many that all of it is seen.
    rows: usize,
    digest: String,
    /// The reminder to attach what the letter promises.
    reminder: Option<&'static str>,
}

/// A sign of danger on the page.
#[derive(Serialize)]
struct SignLine {
    number: u32,
    sentence: String,
    open: bool,
}

/// What stands between the report and a letter that has the bow strung.
#[derive(Serialize)]
pub(super) struct DangerView {
    signs: Vec<SignLine>,
    /// A sign is open.
    pub(super) open: bool,
    /// The tick is wanted: no sign is open, and nobody has said yet that there is no danger.
    pub(super) tick: bool,
    /// Somebody said so, and may have been mistaken.
    ruled_out: bool,
}

impl DangerView {
    /// Its signs, as sentences.
    pub(super) fn sentences(self) -> Vec<String> {
        self.signs.into_iter().map(|sign| sign.sentence).collect()
    }

    pub(super) fn new(answer: &Answer, kind: LetterKind) -> Self {
        let signs: Vec<SignLine> = answer
            .view
            .signs
            .iter()
            .map(|sign| SignLine {
                number: sign.number,
                sentence: advice::sign_sentence(sign),
                open: sign.standing == SignStanding::Open,
            })
            .collect();
        let open = signs.iter().any(|sign| sign.open);
        let tick = kind == LetterKind::LookOver && !open;
        Self { tick, ruled_out: answer.view.danger_ruled_out, signs, open }
    }
}

/// Which steps a report can take.
#[derive(Serialize)]
struct Steps {
    reading: bool,
    remake: bool,
    posted: bool,
    came_back: bool,
    settle: bool,
    resume: bool,
    /// This letter was sent already, as far as the book knows.
    answered: bool,
    /// That a letter was sent can be noted.
    letter: bool,
}

/// A report for its page.
#[derive(Serialize)]
pub(super) struct ReportPage {
    id: String,
    string: String,
    string_address: String,
    archer: Option<String>,
    standing: &'static str,
    waits: &'static str,
    seen: i64,
    verdict: Option<&'static str>,
    verdict_html: Option<String>,
    why_html: Option<String>,
    rule: Option<BraceRule>,
    letter: Option<LetterView>,
    danger: Option<DangerView>,
    /// Address of the sheet that may go with the letter.
    sheet_address: Option<String>,
    /// Why there is no verdict or no letter.
    trouble: Option<ProblemView>,
    said_html: String,
    /// What the archer wrote last.
    last_text: Option<String>,
    /// What the archer wrote before, oldest first.
    texts: Vec<String>,
    /// The letters that went out, oldest first.
    letters: Vec<SentOnPage>,
    replacement_html: Option<String>,
    replacement_address: Option<String>,
    steps: Steps,
    /// The step whose form is open because something is wrong with it.
    open: String,
    reading: SaidForm,
    remake: Vec<FieldView>,
    decide: Vec<FieldView>,
    /// A decision is in force, and can be taken back.
    decided: bool,
    settle: Vec<FieldView>,
    /// What can be struck of it.
    things: Vec<strike::ThingView>,
}

const fn waits(standing: Standing, answered: bool, back: bool) -> &'static str {
    match standing {
        Standing::ToAnswer if answered => "the letter is sent; put the replacement on the bench",
        Standing::ToAnswer => "it is our turn to answer",
        Standing::WithArcher => "it is the archer's turn",
        Standing::OnBench => "the replacement is being made",
        Standing::InPost if back => "the old string is back, the replacement is out",
        Standing::InPost => "the replacement is on its way",
        Standing::Settled => "it is over",
    }
}

/// What was filled into a form of the page, and what is wrong with it.
#[derive(Default)]
pub(super) struct Tried<'a> {
    /// The step that was tried.
    pub(super) step: &'a str,
    /// What was filled in.
    pub(super) filled: Filled,
    /// What is wrong.
    pub(super) problem: Option<&'a ProblemView>,
}

/// What is read of a report for its page, whether it is struck or not.
pub(super) struct Looked {
    /// The last line of the history of its string: read before all else.
    pub(super) seen: i64,
    /// Where its archer's letters go to.
    email: Option<String>,
    pub(super) view: ReportView,
    /// What can be struck of it.
    pub(super) things: Vec<strike::ThingView>,
}

impl Looked {
    pub(super) fn at(open: &mut Open, id: &str, tried: &Tried<'_>) -> Result<Self, Problem> {
        let whose = app::reports::whose(&mut open.book, id)?;
        Ok(Self {
            seen: app::reports::last_line(&mut open.book, &whose.string)?,
            email: whose.email,
            view: app::reports::show(&mut open.book, id)?,
            things: strike::views(app::strikes::of_report(&mut open.book, id)?, &tried.filled),
        })
    }
}

/// Everything the page of a report shows, with so many turns chosen on the brace rule.
pub(super) fn report_page(
    shared: &Shared,
    open: &mut Open,
    looked: Looked,
    turns: Option<i32>,
    tried: &Tried<'_>,
) -> Result<ReportPage, Problem> {
    let Looked { seen, email, view, things } = looked;
    let id = view.report.as_str();
    let way = app::cases::way(&mut open.book, id, open.author.day)?;
    let worked = in_force(&mut open.book, id, open.author.day).map_err(Problem::from);
    let letter = match &worked {
        Ok(answer) => Some(Letter::write(shared, open, answer, &way)),
        Err(_) => None,
    };
    let trouble = match (&worked, &letter) {
        (Err(problem), _) | (_, Some(Err(problem))) => Some(ProblemView::new(problem, None)),
        _ => None,
    };
    let answer = worked.ok();
    let (mut verdict_text, mut why_text) = (TextPage::new(80), TextPage::new(80));
    if let Some(answer) = &answer {
        advice::summary(&mut verdict_text, &answer.view, &open.style);
        advice::why(&mut why_text, &answer.view, &open.style);
    }
    let mut said = TextPage::new(80);
    records::report(&mut said, &view, &open.style, false);
    let mut replacement = TextPage::new(80);
    if let Some(remake) = &way.remake {
        cases::remake(&mut replacement, remake, &open.style);
    }
    let mut texts = view.texts;
    let last_text = texts.pop();
    let settled = way.standing == Standing::Settled;
    let fields_of = |step: &str| if tried.step == step { tried.filled.clone() } else { Filled::default() };
    let wrong_in = |step: &str| tried.problem.filter(|_| tried.step == step);
    Ok(ReportPage {
        string_address: string::address(&view.string),
        standing: way.standing.as_str(),
        waits: waits(
            way.standing,
            way.answered,
            way.remake.as_ref().is_some_and(|remake| remake.back_on.is_some()),
        ),
        seen,
        verdict: answer.as_ref().map(|answer| answer.view.verdict.as_str()),
        verdict_html: answer.as_ref().map(|_| web::html(&verdict_text)),
        why_html: answer.as_ref().map(|_| web::html(&why_text)),
        // What is over, or is no matter of turns, needs no rule.
        rule: answer
            .as_ref()
            .filter(|answer| !settled && !matches!(answer.view.verdict, Verdict::Stop | Verdict::Refer))
            .and_then(|answer| BraceRule::new(answer, turns, &open.style)),
        sheet_address: answer
            .as_ref()
            .filter(|answer| !settled && app::sheet::may_go(&answer.view))
            .map(|_| sheet::address(&view.report)),
        danger: answer
            .as_ref()
            .zip(letter.as_ref().and_then(|letter| letter.as_ref().ok()))
            .filter(|_| !settled)
            .map(|(answer, letter)| DangerView::new(answer, letter.kind)),
        letter: letter.and_then(Result::ok).map(|letter| LetterView {
            kind: letter.kind.as_str(),
            digest: crate::words::digest(&letter.text),
            reminder: letters::label_to_attach(letter.kind, &letter.text),
            to: email,
            rows: letter.text.lines().count() + 1,
            text: letter.text,
        }),
        trouble,
        said_html: web::html(&said),
        replacement_html: way.remake.as_ref().map(|_| web::html(&replacement)),
        replacement_address: way.remake.as_ref().map(|remake| string::address(&remake.string)),
        steps: Steps {
            reading: !settled,
            remake: !settled && way.remake.is_none(),
            posted: !settled && way.remake.as_ref().is_some_and(|remake| remake.sent_on.is_none()),
            came_back: way
                .remake
                .as_ref()
                .is_some_and(|remake| remake.sent_on.is_some() && remake.back_on.is_none()),
            settle: !settled,
            resume: settled,
            answered: way.answered,
            letter: !settled,
        },
        open: tried.step.to_owned(),
        reading: SaidForm::new(&fields_of("reading"), wrong_in("reading")),
        decided: answer.as_ref().is_some_and(|answer| answer.view.decided.is_some()),
        decide: views(&DECISION, &fields_of("decide"), wrong_in("decide")),
        things,
        remake: views(&REPLACEMENT, &fields_of("remake"), wrong_in("remake")),
        settle: views(&END, &fields_of("settle"), wrong_in("settle")),
        last_text,
        texts,
        letters: view.letters.iter().map(SentOnPage::new).collect(),
        archer: view.archer,
        string: view.string,
        id: view.report,
    })
}
