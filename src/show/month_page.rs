//! The month sheet as a page to print.

use super::sentences::Style;
use crate::app::month::view::MonthView;

/// The page.
///
/// # Errors
/// A chart cannot be drawn.
pub fn html(_view: &MonthView, _style: &Style, _workshop: &str) -> Result<String, String> {
    Err("not drawn".to_owned())
}
