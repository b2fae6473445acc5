//! Any text as a measurement: read or refused, and never more.
#![no_main]

use fistmele::quantity::{
    Measure, Unit, parse_date, parse_draw_weight, parse_length, parse_money, parse_range, parse_turns,
};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    for unit in [Unit::Inch, Unit::Cm, Unit::Mm] {
        match parse_length(text, unit, Measure::Brace) {
            Ok(length) => assert!(length.inches().is_finite()),
            Err(error) => assert!(!error.to_string().chars().any(fistmele::words::is_unsafe)),
        }
        let _ = parse_range(text, unit, Measure::WantedBrace);
    }
    let _ = (parse_turns(text), parse_date(text), parse_money(text), parse_draw_weight(text));
});
