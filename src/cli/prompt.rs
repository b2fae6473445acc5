//! Asking for what is missing, on a terminal only.

use std::io::{BufRead, Write};

use crate::error::{Kind, Problem};

/// Asks until the answer can be read; an empty answer takes the default, where there is one.
pub(super) fn ask<T>(
    question: &str,
    default: Option<&str>,
    read: impl Fn(&str) -> Result<T, Problem>,
) -> Result<T, Problem> {
    let mut input = std::io::stdin().lock();
    loop {
        let shown = default.map(|default| format!(" [{default}]")).unwrap_or_default();
        let mut err = anstream::AutoStream::auto(std::io::stderr().lock());
        let _ = write!(err, "{question}{shown}: ");
        let _ = err.flush();
        let mut line = String::new();
        let got = input.read_line(&mut line).map_err(|error| {
            Problem::new(
                Kind::File,
                format!("the answer cannot be read: {error}"),
                "give it as an option instead",
            )
        })?;
        if got == 0 {
            return Err(Problem::new(
                Kind::CommandLine,
                format!("{question} was not answered"),
                "give it as an option; see --help",
            ));
        }
        let line = line.trim();
        let line = if line.is_empty() { default.unwrap_or_default() } else { line };
        if line.is_empty() {
            continue;
        }
        match read(line) {
            Ok(value) => return Ok(value),
            Err(problem) => {
                super::session::tell(&problem.message);
                for hint in &problem.hints {
                    super::session::tell(&format!("  hint: {hint}"));
                }
            }
        }
    }
}
