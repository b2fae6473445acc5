//! The workshop's own rules, to be read.

use serde::Serialize;

use super::page::Page;
use super::routes::Asked;
use super::{Reply, Shared};
use crate::app;
use crate::error::Problem;
use crate::show::page::TextPage;
use crate::show::{records, web};

#[derive(Serialize)]
struct OwnRules {
    list_html: String,
}

/// All settings with their values.
pub(super) fn rules(shared: &Shared, _: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let settings = app::settings::list(&mut open.book)?;
    let mut text = TextPage::new(80);
    records::setting_list(&mut text, &settings, open.style.unit, &open.style.currency);
    Page::new("rules.html", "The workshop's rules", "rules").with(
        shared,
        &open,
        &OwnRules { list_html: web::html(&text) },
    )
}
