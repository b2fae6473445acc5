//! The workshop's own rules.

use serde::Serialize;

use super::error::AppError;
use crate::book::{Author, Book, Happened, SettingChange};
use crate::trade::plausible::{self, LONGEST_LINE};
use crate::trade::setting::{
    Setting, SettingError, all_settings, canonical_value, find_setting, strength_setting,
};
use crate::trade::strength::{pounds, source_strength};
use crate::words::nearest;

/// A setting with its value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingView {
    /// Name.
    pub name: String,
    /// Value in force, in kept form: lengths in inches, money in minor units.
    pub value: Option<String>,
    /// Default in kept form.
    pub default: Option<String>,
    /// Day it was set; absent where the default holds.
    pub set_on: Option<chrono::NaiveDate>,
    /// What it does.
    pub about: String,
    /// Why it was set, where it was said.
    pub why: Option<String>,
    /// Earlier values, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub history: Vec<SettingStep>,
    /// What kind of value it is, for showing.
    #[serde(skip)]
    pub setting: Option<Setting>,
}

/// A change of a setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingStep {
    /// Day.
    pub set_on: chrono::NaiveDate,
    /// Kept value; absent for "back to the default".
    pub value: Option<String>,
    /// Why, where it was said.
    pub why: Option<String>,
}

fn present(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

fn view(setting: Setting, changes: &[SettingChange]) -> SettingView {
    let last = changes.last();
    let own = last.map(|change| change.value.as_str()).filter(|value| !value.is_empty());
    SettingView {
        name: setting.name.clone(),
        value: present(own.unwrap_or(&setting.default)),
        default: present(&setting.default),
        set_on: own.and(last).map(|change| change.set_on),
        about: setting.about.clone(),
        why: own.and(last).and_then(|change| change.why.clone()),
        history: changes
            .iter()
            .map(|change| SettingStep {
                set_on: change.set_on,
                value: present(&change.value),
                why: change.why.clone(),
            })
            .collect(),
        setting: Some(setting),
    }
}

fn with_near_names(error: SettingError) -> AppError {
    match error {
        SettingError::UnknownName(name) => {
            let all = all_settings();
            let near = nearest(&name, all.iter().map(|setting| setting.name.as_str())).map(str::to_owned);
            AppError::NotFound { what: "setting", text: name, near: near.into_iter().collect() }
        }
        other => AppError::Setting(other),
    }
}

/// All settings, those set by construction included.
///
/// # Errors
/// The book cannot be read.
pub fn list(book: &mut Book) -> Result<Vec<SettingView>, AppError> {
    book.read(|page| {
        let set = page.settings()?;
        let mut all = all_settings();
        let known: Vec<String> = all.iter().map(|setting| setting.name.clone()).collect();
        all.extend(
            set.keys().filter(|name| !known.contains(name)).filter_map(|name| find_setting(name).ok()),
        );
        all.sort_by(|a, b| a.name.cmp(&b.name));
        all.into_iter()
            .map(|setting| {
                let changes = if set.contains_key(&setting.name) {
                    page.setting_changes(&setting.name)?
                } else {
                    Vec::new()
                };
                let mut view = view(setting, &changes);
                view.history.clear();
                Ok(view)
            })
            .collect()
    })
}

/// One setting with its history.
///
/// # Errors
/// Unknown name, or the book cannot be read.
pub fn get(book: &mut Book, name: &str) -> Result<SettingView, AppError> {
    let setting = find_setting(name).map_err(with_near_names)?;
    book.read(|page| {
        let changes = page.setting_changes(&setting.name)?;
        Ok(view(setting, &changes))
    })
}

/// A reason as it may be kept.
pub(super) fn checked_reason(why: Option<&str>) -> Result<Option<String>, AppError> {
    let Some(why) = why.map(str::trim).filter(|why| !why.is_empty()) else { return Ok(None) };
    plausible::one_line(why, LONGEST_LINE).map(Some).map_err(|error| {
        AppError::refused(
            format!("\"{}\" will not do for a reason", crate::words::shorten(why)),
            format!("give {}", error.needed),
        )
    })
}

/// A strand is not set stronger than its source says without a reason.
fn refuse_without_reason(setting: &Setting, value: &str, why: Option<&str>) -> Result<(), AppError> {
    let limit = strength_setting(&setting.name).and_then(|yarn| Some((yarn, source_strength(yarn)?)));
    if let (Some((yarn, source)), Ok(set), None) = (limit, value.parse::<f64>(), why)
        && set > source + 1e-9
    {
        return Err(AppError::refused(
            format!(
                "{} a strand of {yarn} is above the {} of its source and needs a reason",
                pounds(set),
                pounds(source)
            ),
            format!(
                "say how you know, such as: fistmele setting set {} {value} --why \"ten strands broken on the bench, the weakest at {value} lb\"",
                setting.name
            ),
        ));
    }
    Ok(())
}

/// Sets a value; an empty one goes back to the default. `why` is kept with it.
///
/// # Errors
/// Unknown name, a value it does not take or that needs a reason, or the book cannot be written.
pub fn set(
    book: &mut Book,
    name: &str,
    text: &str,
    why: Option<&str>,
    author: &Author,
) -> Result<SettingView, AppError> {
    let setting = find_setting(name).map_err(with_near_names)?;
    let unit = super::rules(book)?.units;
    let value = canonical_value(&setting, text, unit).map_err(with_near_names)?;
    let why = checked_reason(why)?;
    refuse_without_reason(&setting, &value, why.as_deref())?;
    book.write(|page| {
        page.set_setting(&setting.name, &SettingChange { value, set_on: author.day, why })?;
        if let Some(yarn) = strength_setting(&setting.name) {
            super::strength::mark_strings_made_of(page, yarn, author.day)?;
        }
        page.log(author, Happened { what: "setting", string: None, report: None, fields: &setting.name })?;
        let changes = page.setting_changes(&setting.name)?;
        Ok(view(setting, &changes))
    })
}
