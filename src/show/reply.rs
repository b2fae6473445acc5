//! The form for a reply: below letters as lines of text, on paper with a code that a telephone reads.

use std::fmt::Write;

use qrcodegen::{QrCode, QrCodeEcc};

use crate::quantity::Unit;
use crate::trade::reply::{Asks, form};

/// What stands above the form.
pub const FILL_IN: &str = "To answer, fill in these lines behind the colons and send them back:";

/// The form as it stands below a letter: no line of it is broken, so that it is known again.
#[must_use]
pub fn below_a_letter(serial: &str, asks: Asks, unit: Unit) -> String {
    let mut text = format!("\n{FILL_IN}\n\n");
    for line in form(serial, asks, unit) {
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// Light modules around a code (ISO/IEC 18004: four; from memory).
const QUIET: i32 = 4;

/// A drawing of a code that holds a link; none where the link is too long for any code.
#[must_use]
pub fn code(link: &str) -> Option<String> {
    let code = QrCode::encode_text(link, QrCodeEcc::Low).ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let run = (x..size).take_while(|x| code.get_module(*x, y)).count() as i32;
            if run > 0 {
                let _ = write!(path, "M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET);
            }
            x += run.max(1);
        }
    }
    let whole = size + 2 * QUIET;
    Some(format!(
        "<svg class=\"code\" viewBox=\"0 0 {whole} {whole}\" role=\"img\" aria-label=\"Code that opens a mail with this form\" shape-rendering=\"crispEdges\"><rect width=\"{whole}\" height=\"{whole}\" fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::reply::mailto;

    /// Reads the drawing module by module and has another program's decoder read these.
    fn read_back(svg: &str) -> String {
        let number = |after: &str, text: &str| -> Option<(usize, usize)> {
            let text = text.strip_prefix(after)?;
            let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
            Some((text[..end].parse().ok()?, after.len() + end))
        };
        let whole = svg.split("viewBox=\"0 0 ").nth(1).and_then(|rest| number("", rest)).unwrap().0;
        let mut dark = vec![vec![false; whole]; whole];
        let path = svg.split("path d=\"").nth(1).unwrap().split('"').next().unwrap();
        for run in path.split('M').skip(1) {
            let (x, used) = number("", run).unwrap();
            let (y, more) = number(" ", &run[used..]).unwrap();
            let (length, _) = number("h", &run[used + more..]).unwrap();
            dark[y][x..x + length].fill(true);
        }
        let scale = 4;
        let grey = |x: usize, y: usize| if dark[y / scale][x / scale] { 0 } else { 255 };
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(whole * scale, whole * scale, grey);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1);
        grids[0].decode().unwrap().1
    }

    #[test]
    fn another_decoder_reads_the_code_back() {
        for serial in ["S-7", "Ä/7 #3 & \"x\"?=%<'+", &"Ω".repeat(80)] {
            for (asks, unit) in
                [(Asks::Reading, Unit::Cm), (Asks::Strip, Unit::Inch), (Asks::Danger, Unit::Mm)]
            {
                let link = mailto("post+strings@example.org", serial, asks, unit);
                assert_eq!(read_back(&code(&link).unwrap()), link);
            }
        }
        assert_eq!(code(&"x".repeat(4000)), None);
    }
}
