//! The workshop's own rules.

use serde::Serialize;

use super::error::AppError;
use crate::book::{Author, Book, Happened, SettingChange};
use crate::trade::rules::{Setting, SettingError, all_settings, canonical_value, find_setting};
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
        history: changes
            .iter()
            .map(|change| SettingStep { set_on: change.set_on, value: present(&change.value) })
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

/// Sets a value; an empty one goes back to the default.
///
/// # Errors
/// Unknown name, a value it does not take, or the book cannot be written.
pub fn set(book: &mut Book, name: &str, text: &str, author: &Author) -> Result<SettingView, AppError> {
    let setting = find_setting(name).map_err(with_near_names)?;
    let unit = super::rules(book)?.units;
    let value = canonical_value(&setting, text, unit).map_err(with_near_names)?;
    book.write(|page| {
        page.set_setting(&setting.name, &SettingChange { value, set_on: author.day })?;
        page.log(author, Happened { what: "setting", string: None, report: None, fields: &setting.name })?;
        let changes = page.setting_changes(&setting.name)?;
        Ok(view(setting, &changes))
    })
}
