//! Charts of the month sheet as inline SVG: black, grey and shapes, so that they read without colour.

use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, SegmentValue, ValueFormatter};
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;

/// A figure with its range, in a row of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct DotLine {
    /// Name of the row.
    pub name: String,
    /// Low end, dot, high end.
    pub range: (f64, f64, f64),
    /// Draws a filled square instead of a ring, to stand out.
    pub marked: bool,
}

/// A month with its count and what was expected.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthBar {
    /// Name of the month.
    pub name: String,
    /// Reports.
    pub reports: f64,
    /// Low end, expected, high end.
    pub expected: Option<(f64, f64, f64)>,
}

const WIDTH: u32 = 560;
const ROW: u32 = 21;
const FONT: (&str, i32) = ("sans-serif", 13);
const PALE: RGBColor = RGBColor(225, 225, 225);
const GREY: RGBColor = RGBColor(110, 110, 110);

fn fault(error: impl std::fmt::Display) -> String {
    format!("a chart cannot be drawn: {error}")
}

/// Text inside an attribute or element.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// Gives the picture a name and a description for those who cannot see it.
fn described(svg: &str, title: &str, description: &str) -> String {
    let (title, description) = (escaped(title), escaped(description));
    let open = format!("<svg role=\"img\" aria-label=\"{title}\"");
    let text = format!("><title>{title}</title><desc>{description}</desc>");
    svg.replacen("<svg", &open, 1).replacen('>', &text, 1)
}

/// An axis with its points where people expect them, such as at quarters of an inch.
struct Axis {
    range: RangedCoordf64,
    points: Vec<f64>,
}

impl Ranged for Axis {
    type FormatOption = NoDefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, limit: (i32, i32)) -> i32 {
        self.range.map(value, limit)
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        // The thin lines between the points are not drawn.
        if hint.weight().allow_light_points() { Vec::new() } else { self.points.clone() }
    }

    fn range(&self) -> std::ops::Range<f64> {
        self.range.range()
    }
}

impl ValueFormatter<f64> for Axis {
    fn format(value: &f64) -> String {
        value.to_string()
    }
}

/// Points of an axis at multiples of a step.
fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let (first, last) = ((low / step - 1e-9).ceil(), (high / step + 1e-9).floor());
    if !(step > 0.0 && first.is_finite() && last.is_finite()) || last - first > 40.0 {
        return vec![low, high];
    }
    (0..=(last - first) as i32).map(|place| (first + f64::from(place)) * step).collect()
}

/// A step of 1, 2 or 5 times a power of ten that gives a handful of points.
fn even_step(span: f64) -> f64 {
    let rough = (span / 6.0).max(1e-9);
    let ten = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].iter().map(|times| times * ten).find(|step| *step >= rough).unwrap_or(10.0 * ten)
}

/// Dots with whiskers, one row each, top to bottom, over an axis from low to high with a grid at
/// multiples of a step; `marks` are upright lines with a name.
///
/// # Errors
/// The chart library refuses.
pub fn dots(
    title: &str,
    axis: &str,
    lines: &[DotLine],
    (low, high, step): (f64, f64, Option<f64>),
    marks: &[(f64, String)],
    label: &dyn Fn(f64) -> String,
) -> Result<String, String> {
    let count = lines.len().max(1);
    let height = 64 + ROW * u32::try_from(count).unwrap_or(1);
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, (WIDTH, height)).into_drawing_area();
        root.fill(&WHITE).map_err(fault)?;
        let longest = lines.iter().map(|line| line.name.chars().count()).max().unwrap_or(8);
        let left = u32::try_from(longest).unwrap_or(20).clamp(8, 26) * 7 + 12;
        let mut chart = ChartBuilder::on(&root)
            .margin_right(18)
            .margin_top(if marks.is_empty() { 8 } else { 20 })
            .x_label_area_size(42)
            .y_label_area_size(left)
            .build_cartesian_2d(
                Axis {
                    range: (low..high).into(),
                    points: multiples(low, high, step.unwrap_or_else(|| even_step(high - low))),
                },
                (0..count - 1).into_segmented(),
            )
            .map_err(fault)?;
        // Rows read from the top; the axis counts from the bottom.
        let place = |row: usize| SegmentValue::CenterOf(count - 1 - row);
        chart
            .configure_mesh()
            .disable_y_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(PALE)
            .axis_style(GREY)
            .x_labels(12)
            .x_label_formatter(&|value| label(*value))
            .x_desc(axis)
            .y_labels(count + 1)
            .y_label_formatter(&|value| match value {
                SegmentValue::CenterOf(place) | SegmentValue::Exact(place) => lines
                    .get((count - 1).wrapping_sub(*place))
                    .map_or_else(String::new, |line| line.name.clone()),
                SegmentValue::Last => String::new(),
            })
            .label_style(FONT)
            .axis_desc_style(FONT)
            .draw()
            .map_err(fault)?;
        for (at, _) in marks {
            let ends = vec![(*at, SegmentValue::Exact(0)), (*at, SegmentValue::Last)];
            chart.draw_series(DashedLineSeries::new(ends, 4, 4, GREY.stroke_width(1))).map_err(fault)?;
        }
        let inside = |value: f64| value.clamp(low, high);
        for (row, line) in lines.iter().enumerate() {
            let (from, dot, to) = line.range;
            chart
                .draw_series(std::iter::once(PathElement::new(
                    vec![(inside(from), place(row)), (inside(to), place(row))],
                    BLACK.stroke_width(2),
                )))
                .map_err(fault)?;
            let at = (inside(dot), place(row));
            if line.marked {
                chart
                    .draw_series(std::iter::once(
                        EmptyElement::at(at) + Rectangle::new([(-5, -5), (5, 5)], BLACK.filled()),
                    ))
                    .map_err(fault)?;
            } else {
                chart
                    .draw_series(std::iter::once(
                        EmptyElement::at(at)
                            + Circle::new((0, 0), 5, WHITE.filled())
                            + Circle::new((0, 0), 5, BLACK.stroke_width(2)),
                    ))
                    .map_err(fault)?;
            }
        }
        let plot = chart.plotting_area();
        for (at, name) in marks {
            let (x, _) = plot.map_coordinate(&(*at, SegmentValue::Exact(0)));
            let style = FONT.into_text_style(&root).pos(plotters::style::text_anchor::Pos::new(
                plotters::style::text_anchor::HPos::Center,
                plotters::style::text_anchor::VPos::Top,
            ));
            root.draw(&Text::new(name.clone(), (x, 3), style)).map_err(fault)?;
        }
        root.present().map_err(fault)?;
    }
    let description: Vec<String> = lines
        .iter()
        .map(|line| {
            let (from, dot, to) = line.range;
            format!("{}: {} ({} to {})", line.name, label(dot), label(from), label(to))
        })
        .collect();
    Ok(described(&svg, title, &description.join("; ")))
}

/// Counts by month as dots over the range in which they were expected.
///
/// # Errors
/// The chart library refuses.
pub fn months(title: &str, bars: &[MonthBar]) -> Result<String, String> {
    let count = bars.len().max(1);
    let top = bars
        .iter()
        .map(|bar| bar.expected.map_or(0.0, |(_, _, high)| high).max(bar.reports))
        .fold(4.0, f64::max)
        * 1.12;
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, (WIDTH, 220)).into_drawing_area();
        root.fill(&WHITE).map_err(fault)?;
        let mut chart = ChartBuilder::on(&root)
            .margin_right(14)
            .margin_top(12)
            .x_label_area_size(30)
            .y_label_area_size(46)
            .build_cartesian_2d((0..count - 1).into_segmented(), 0.0..top)
            .map_err(fault)?;
        chart
            .configure_mesh()
            .disable_x_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(PALE)
            .axis_style(GREY)
            .x_labels(count + 1)
            .x_label_formatter(&|value| match value {
                SegmentValue::CenterOf(place) | SegmentValue::Exact(place) => {
                    bars.get(*place).map_or_else(String::new, |bar| bar.name.clone())
                }
                SegmentValue::Last => String::new(),
            })
            .y_labels(6)
            .y_label_formatter(&|value| format!("{value:.0}"))
            .y_desc("reports")
            .label_style(FONT)
            .axis_desc_style(FONT)
            .draw()
            .map_err(fault)?;
        let half = f64::from(WIDTH - 60) / count as f64 * 0.36;
        let half = half as i32;
        for (place, bar) in bars.iter().enumerate() {
            let at = SegmentValue::CenterOf(place);
            if let Some((low, middle, high)) = bar.expected {
                let (_, y_low) = chart.plotting_area().map_coordinate(&(at.clone(), low));
                let (_, y_high) = chart.plotting_area().map_coordinate(&(at.clone(), high));
                chart
                    .draw_series(std::iter::once(
                        EmptyElement::at((at.clone(), high))
                            + Rectangle::new([(-half, 0), (half, y_low - y_high)], PALE.filled())
                            + Rectangle::new([(-half, 0), (half, y_low - y_high)], GREY.stroke_width(1)),
                    ))
                    .map_err(fault)?;
                chart
                    .draw_series(std::iter::once(
                        EmptyElement::at((at.clone(), middle))
                            + PathElement::new(vec![(-half, 0), (half, 0)], GREY.stroke_width(2)),
                    ))
                    .map_err(fault)?;
            }
            chart
                .draw_series(std::iter::once(
                    EmptyElement::at((at, bar.reports)) + Circle::new((0, 0), 5, BLACK.filled()),
                ))
                .map_err(fault)?;
        }
        root.present().map_err(fault)?;
    }
    let description: Vec<String> = bars
        .iter()
        .map(|bar| {
            let expected = bar
                .expected
                .map_or_else(String::new, |(low, _, high)| format!(" (expected {low:.0} to {high:.0})"));
            format!("{}: {:.0}{expected}", bar.name, bar.reports)
        })
        .collect();
    Ok(described(&svg, title, &description.join("; ")))
}

/// Bars with their counts, one row each, top to bottom.
///
/// # Errors
/// The chart library refuses.
pub fn bars(title: &str, axis: &str, lines: &[(String, f64)]) -> Result<String, String> {
    let count = lines.len().max(1);
    let top = lines.iter().map(|line| line.1).fold(4.0, f64::max) * 1.1;
    let height = 54 + ROW * u32::try_from(count).unwrap_or(1);
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, (WIDTH, height)).into_drawing_area();
        root.fill(&WHITE).map_err(fault)?;
        let mut chart = ChartBuilder::on(&root)
            .margin_right(18)
            .margin_top(8)
            .x_label_area_size(42)
            .y_label_area_size(110)
            .build_cartesian_2d(0.0..top, (0..count - 1).into_segmented())
            .map_err(fault)?;
        chart
            .configure_mesh()
            .disable_y_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(PALE)
            .axis_style(GREY)
            .x_labels(6)
            .x_label_formatter(&|value| format!("{value:.0}"))
            .x_desc(axis)
            .y_labels(count + 1)
            .y_label_formatter(&|value| match value {
                SegmentValue::CenterOf(place) | SegmentValue::Exact(place) => lines
                    .get((count - 1).wrapping_sub(*place))
                    .map_or_else(String::new, |line| line.0.clone()),
                SegmentValue::Last => String::new(),
            })
            .label_style(FONT)
            .axis_desc_style(FONT)
            .draw()
            .map_err(fault)?;
        for (row, (_, value)) in lines.iter().enumerate() {
            let at = SegmentValue::CenterOf(count - 1 - row);
            let (x_zero, _) = chart.plotting_area().map_coordinate(&(0.0, at.clone()));
            let (x_value, _) = chart.plotting_area().map_coordinate(&(*value, at.clone()));
            chart
                .draw_series(std::iter::once(
                    EmptyElement::at((0.0, at))
                        + Rectangle::new([(0, -6), (x_value - x_zero, 6)], GREY.filled()),
                ))
                .map_err(fault)?;
        }
        root.present().map_err(fault)?;
    }
    let description: Vec<String> = lines.iter().map(|(name, value)| format!("{name}: {value:.0}")).collect();
    Ok(described(&svg, title, &description.join("; ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_says_in_words_what_it_shows() {
        let line = DotLine { name: "marked <x>".to_owned(), range: (0.1, 0.2, 0.3), marked: true };
        let svg =
            dots("Rates", "in 100", &[line], (0.0, 0.5, None), &[(0.25, "play".to_owned())], &|value| {
                format!("{:.0}", value * 100.0)
            })
            .unwrap();
        assert!(svg.starts_with("<svg role=\"img\" aria-label=\"Rates\""), "{svg}");
        assert!(svg.contains("<desc>marked &lt;x&gt;: 20 (10 to 30)</desc>"));
        assert!(!svg.contains("<x>"));
    }

    #[test]
    fn nothing_to_draw_is_no_panic() {
        dots("Rates", "", &[], (0.0, 0.1, None), &[], &|value| value.to_string()).unwrap();
        months("Months", &[]).unwrap();
        bars("Causes", "", &[]).unwrap();
    }
}
