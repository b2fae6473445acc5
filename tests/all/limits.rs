//! Limits: what is longer, larger or more than any honest thing is refused, or summed up, in time.

use std::process::Stdio;
use std::time::{Duration, Instant};

use crate::bare_world::{World, orders, text};
use crate::counter_pages::Counter;

/// Two seconds as it is shipped; without optimisation a slow machine needs more.
const PATIENCE: Duration = Duration::from_secs(if cfg!(debug_assertions) { 60 } else { 4 });

#[test]
fn a_search_is_no_longer_than_any_name() {
    let world = World::new();
    world.add_string("S-1");
    let long = "odalind quarrie ".repeat(14);
    let said = world.refused(1, &["sold", "find", &long]);
    assert!(said.contains("too long") && said.contains("200"), "{said}");
    // Of a text that is shorter but longer than a name only what holds it is looked for.
    let near = format!("odalinde quarry {}", "x".repeat(80));
    assert!(!world.ok(&["sold", "find", &near]).contains("S-1"));
    assert!(world.ok(&["sold", "find", "odalinde quarry"]).contains("S-1"));
    let answer = Counter::on(&world.book).found(&long);
    assert!(answer.status == 409 && answer.text.contains("too long"), "{}", answer.text);
}

/// Greatest memory of a process of this number so far, kilobytes, as Linux tells it.
fn peak(pid: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn the_largest_mail_is_read_in_time_and_memory_whatever_it_is_made_of() {
    const LARGEST: usize = 25 << 20;
    let world = World::new();
    world.add_string("S-1");
    let mixed = "Content-Type: multipart/mixed; boundary=x\r\n\r\n";
    let html = "Content-Type: text/html\r\n\r\n";
    let photo = format!(
        "{mixed}--x\r\n\r\nbrace height is 7\r\n--x\r\nContent-Type: image/jpeg\r\nContent-Transfer-Encoding: base64\r\n\r\n"
    );
    for (name, head, unit) in [
        ("lines", "\r\n", "a\n"),
        ("serials", "\r\n", "S-1 S-2 T-0001 "),
        ("numbers", "\r\n", "brace 7 3/4 "),
        ("headers", "", "a: b\r\n"),
        ("receivers", "To: ", "a@b.c, "),
        ("parts", mixed, "--x\r\n\r\n"),
        ("parts with headers", mixed, "--x\r\nContent-Type: text/plain\r\n\r\na\r\n"),
        ("tags", html, "<td>"),
        ("quotes", html, "<blockquote>a"),
        ("a photo", photo.as_str(), "QUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFB\r\n"),
        ("one line", "\r\n", "x"),
    ] {
        let start = "From: odalind@example.org\r\nSubject: string\r\n";
        let mut mail = format!("{start}{head}");
        mail.push_str(&unit.repeat((LARGEST - mail.len()) / unit.len()));
        let file = world.write("large.eml", mail);
        let begun = Instant::now();
        let mut child = world
            .command()
            .args(["report", "mail", file.to_str().unwrap()])
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (mut most, mut done) = (0, None);
        while done.is_none() {
            most = most.max(peak(child.id()).unwrap_or_default());
            std::thread::sleep(Duration::from_millis(2));
            done = child.try_wait().unwrap();
            if begun.elapsed() > PATIENCE {
                child.kill().unwrap();
                panic!("{name}: it takes too long");
            }
        }
        let said = text(&child.wait_with_output().unwrap().stderr);
        assert!(matches!(done.and_then(|done| done.code()), Some(0 | 1)), "{name}: {said}");
        // The mail itself, and three times as much.
        assert!(most < 100 * 1024, "{name}: {most} KB");
        if name == "a photo" {
            assert_eq!(said, "", "an honest mail is read");
        }
    }
}

#[test]
fn many_bad_rows_are_summed_up_after_the_first_hundred() {
    const BAD: u32 = 3000;
    let world = World::new();
    let file = world.write("orders.csv", orders(1, BAD).replace(",marked,", ",guessed,"));
    let file = file.to_str().unwrap();
    let said = world.refused(1, &["sold", "import", file]);
    assert!(said.lines().count() < 110, "{} lines", said.lines().count());
    for told in ["3000 rows are bad", "line 2, column route", "and 2900 more, from line 102 to line 3001"] {
        assert!(said.contains(told), "{told}: {said}");
    }
    let saved = world.path("bad.csv");
    let output = world.run(&["sold", "import", file, "--skip-bad", saved.to_str().unwrap()]);
    let said = text(&output.stderr);
    assert!(output.status.success() && said.lines().count() < 110, "{said}");
    let kept = std::fs::read_to_string(saved).unwrap();
    assert_eq!(kept.lines().count(), 1 + BAD as usize, "all of them are kept");
}
