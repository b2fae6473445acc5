//! Mails where a mail program keeps them: which wait, which stay away, and the draft below one.

use std::path::{Path, PathBuf};

use fistmele::app::came_in::{self, ReadBefore};
use fistmele::book::Book;
use fistmele::mail::read_mail;
use fistmele::quantity::Unit;
use serde_json::Value;

use crate::bare_world::{World, text};
#[cfg(unix)]
use crate::{counter_pages::hidden, counter_server::Running};

fn mail(name: &str, from: &str, day: &str, said: &str) -> String {
    format!(
        "From: {from}\r\nTo: work@example.org\r\nSubject: S-1\r\nDate: {day} 2026 10:11:12 +0100\r\nMessage-ID: <{name}@example.org>\r\nReferences: <first@example.org>\r\n\r\n{said}\r\n"
    )
}

const ODALIND: &str = "Odalind Quarrie <odalind@example.org>";
const LOW: &str = "The brace height reads 7 1/8 inches now, it came too low.";

/// A Maildir with files of these names in these folders of it.
fn maildir(world: &World, files: &[(&str, &str, String)]) -> PathBuf {
    let place = world.path("inbox");
    for folder in ["cur", "new", "tmp"] {
        std::fs::create_dir_all(place.join(folder)).unwrap();
    }
    for (folder, name, content) in files {
        std::fs::write(place.join(folder).join(name), content).unwrap();
    }
    place
}

fn waiting(world: &World, place: &Path, more: &[&str]) -> Value {
    let mut line = vec!["mails", place.to_str().unwrap(), "--json"];
    line.extend_from_slice(more);
    let all: Value = serde_json::from_str(&world.ok(&line)).unwrap();
    assert_eq!(all["schema"], "mails/1");
    all["data"].clone()
}

fn subjects_of(data: &Value) -> Vec<String> {
    let all = data["waiting"].as_array().unwrap();
    all.iter().map(|one| one["from"].as_str().unwrap_or("-").to_owned()).collect()
}

#[test]
fn what_is_new_waits_danger_first_until_it_is_logged_or_put_aside() {
    let world = World::new();
    world.add_string("S-1");
    let place = maildir(
        &world,
        &[
            ("cur", "1.a:2,S", mail("one", ODALIND, "Thu, 26 Feb", LOW)),
            ("new", "2.a", mail("two", "Ann <ann@example.org>", "Fri, 27 Feb", "Thanks, lovely string!")),
            ("new", "3.a", mail("three", "Bo <bo@example.org>", "Wed, 25 Feb", "One strand has snapped.")),
            ("cur", "4.a:2,ST", mail("four", "Thrown Away <t@example.org>", "Fri, 27 Feb", LOW)),
            ("cur", "5.a:2,", mail("five", "Old <o@example.org>", "Mon, 5 Jan", LOW)),
        ],
    );
    let before: Vec<_> = listed(&place);
    let data = waiting(&world, &place, &[]);
    assert_eq!(subjects_of(&data), ["Bo", "Odalind Quarrie", "Ann"]);
    assert_eq!((&data["older"], &data["left"]), (&1.into(), &0.into()));
    let first = &data["waiting"][0];
    assert_eq!((&first["danger"], &first["is_case"]), (&true.into(), &true.into()));
    assert_eq!(data["waiting"][1]["string"], "S-1");
    assert_eq!(subjects_of(&waiting(&world, &place, &["--days", "90"])).len(), 4);

    // One is logged, one put aside: neither waits any more.
    let mark = data["waiting"][1]["mark"].as_str().unwrap();
    let place_text = place.to_str().unwrap();
    world.ok(&["report", "mail", "--came-in", mark, "--place", place_text, "--yes"]);
    let ann = data["waiting"][2]["mark"].as_str().unwrap();
    world.ok(&["mails", place_text, "--aside", ann]);
    assert_eq!(subjects_of(&waiting(&world, &place, &[])), ["Bo"]);
    assert!(world.ok(&["mails", place_text]).contains("a sign of danger"));

    // What was logged by mistake and struck waits again.
    world.ok(&["strike", "R-1", "--why", "another string"]);
    assert_eq!(subjects_of(&waiting(&world, &place, &[])), ["Bo", "Odalind Quarrie"]);
    assert_eq!(listed(&place), before, "nothing of the mail program's was changed");
    world.assert_sound();
}

/// Names and contents below a folder.
fn listed(place: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for folder in ["cur", "new", "tmp"] {
        for entry in std::fs::read_dir(place.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            all.push((path.clone(), std::fs::read(path).unwrap()));
        }
    }
    all.sort();
    all
}

#[test]
fn the_same_mail_by_another_way_is_the_same() {
    let world = World::new();
    world.add_string("S-1");
    let one = mail("one", ODALIND, "Thu, 26 Feb", LOW);
    let file = world.write("saved.eml", &one);
    world.ok(&["report", "mail", file.to_str().unwrap(), "--yes"]);
    let mailbox =
        world.write("mbox", format!("From o Thu Feb 26 10:11:12 2026\n{}\n", one.replace("\r\n", "\n")));
    assert!(subjects_of(&waiting(&world, &mailbox, &[])).is_empty());
    // With other words around it, as a list or a forwarding server adds them, it has its name still.
    let other = world.write("again.eml", one.replace("too low", "too low, sadly"));
    let said = world.refused(1, &["report", "mail", other.to_str().unwrap(), "--yes"]);
    assert!(said.contains("R-1 holds this very message already"), "{said}");
    // Pasted without its headers it has none, and is known by its words.
    let world = World::new();
    world.add_string("S-1");
    let pasted = world.write("pasted.txt", LOW);
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--text", pasted.to_str().unwrap()]);
    let place = maildir(&world, &[("new", "1", one)]);
    assert!(subjects_of(&waiting(&world, &place, &[])).is_empty());
}

#[test]
fn a_folder_of_files_and_a_mailbox_are_read_and_what_cannot_be_read_is_named() {
    let world = World::new();
    let folder = world.path("mails");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("one.eml"), mail("one", ODALIND, "Thu, 26 Feb", LOW)).unwrap();
    std::fs::write(folder.join("notes.txt"), "no mail").unwrap();
    std::fs::write(folder.join("broken.EML"), "no mail at all").unwrap();
    std::fs::write(folder.join("large.eml"), "a".repeat(25 * 1024 * 1024 + 1)).unwrap();
    std::fs::create_dir(folder.join("folder.eml")).unwrap();
    let data = waiting(&world, &folder, &[]);
    assert_eq!(subjects_of(&data), ["Odalind Quarrie"]);
    let unread = data["unread"].as_array().unwrap();
    let why = |file: &str| {
        let one = unread.iter().find(|one| one["file"] == file);
        one.unwrap()["why"].as_str().unwrap().to_owned()
    };
    assert!(why("large.eml").contains("26 MB"), "{unread:?}");
    assert!(why("broken.EML").contains("no e-mail"), "{unread:?}");
    assert_eq!(unread.len(), 2);

    // A mailbox that was cut off in the middle gives what is there.
    let whole = format!(
        "From a Thu Feb 26 10:11:12 2026\n{}\nFrom b Thu Feb 26 10:11:12 2026\n{}",
        mail("one", ODALIND, "Thu, 26 Feb", LOW).replace("\r\n", "\n"),
        mail("two", "Ann <ann@example.org>", "Fri, 27 Feb", LOW).replace("\r\n", "\n"),
    );
    let mailbox = world.write("mbox", whole.get(..whole.len() - 30).unwrap());
    assert_eq!(subjects_of(&waiting(&world, &mailbox, &[])).len(), 2);
}

/// Has a thread stop, also where a look fails.
struct Stops<'a>(&'a std::sync::atomic::AtomicBool);

impl Drop for Stops<'_> {
    fn drop(&mut self) {
        self.0.store(true, std::sync::atomic::Ordering::SeqCst);
    }
}

#[test]
fn a_maildir_that_changes_under_us_is_read_as_it_is_and_no_mail_twice() {
    let world = World::new();
    let names: Vec<String> = (0..20).map(|at| format!("n{at}")).collect();
    let files: Vec<(&str, &str, String)> = names
        .iter()
        .map(|name| {
            ("new", name.as_str(), mail(name, &format!("{name} <{name}@example.org>"), "Fri, 27 Feb", LOW))
        })
        .collect();
    let place = maildir(&world, &files);
    // A link to what is gone, as a mail program leaves it for a moment.
    #[cfg(unix)]
    std::os::unix::fs::symlink("gone", place.join("new").join("link")).unwrap();
    let done = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            // The mail program marks them as seen, and takes that back, as long as they are looked at.
            let seen = |name: &str| place.join("cur").join(format!("{name}:2,S"));
            let moved = |name: &String, there: bool| {
                let new = place.join("new").join(name);
                let (from, to) = if there { (new, seen(name)) } else { (seen(name), new) };
                std::fs::rename(from, to).unwrap();
            };
            while !done.load(std::sync::atomic::Ordering::SeqCst) {
                names.iter().for_each(|name| moved(name, true));
                names.iter().for_each(|name| moved(name, false));
            }
        });
        let stops = Stops(&done);
        let looks: Vec<Value> = (0..6).map(|_| waiting(&world, &place, &[])).collect();
        drop(stops);
        for data in looks {
            let mut marks: Vec<&str> =
                data["waiting"].as_array().unwrap().iter().map(|one| one["mark"].as_str().unwrap()).collect();
            let count = marks.len();
            marks.sort_unstable();
            marks.dedup();
            assert_eq!(marks.len(), count, "no mail waits twice: {data}");
            assert_eq!(data["unread"], serde_json::json!([]), "what moved is no fault");
        }
    });
    let found = subjects_of(&waiting(&world, &place, &[]));
    assert_eq!(found.len(), names.len(), "{found:?}");
}

#[test]
fn a_place_that_is_none_and_a_mark_that_is_none_are_refused() {
    let world = World::new();
    assert!(world.refused(2, &["mails"]).contains("where mails come in"));
    assert!(world.refused(1, &["mails", "nowhere"]).contains("not there"));
    world.ok(&["setting", "set", "mails.place", "nowhere"]);
    assert!(world.refused(1, &["mails"]).contains("nowhere"));
    let place = maildir(&world, &[]);
    let place = place.to_str().unwrap();
    world.ok(&["setting", "set", "mails.place", place]);
    assert!(world.ok(&["mails"]).contains("No mail waits"));
    assert!(world.refused(1, &["mails", "--aside", "abc"]).contains("abc"));
    assert!(world.refused(1, &["mails", "--days", "0"]).contains("0"));
    assert!(world.refused(1, &["report", "mail", "--came-in", "abc"]).contains("abc"));
    assert_eq!(world.run(&["report", "mail"]).status.code(), Some(2));
}

#[test]
fn a_letter_is_written_as_a_draft_below_the_mail_it_answers() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["setting", "set", "workshop.name", "Weavers & Co"]);
    world.ok(&["setting", "set", "workshop.email", "work@example.org"]);
    let file = world.write("saved.eml", mail("one", ODALIND, "Thu, 26 Feb", LOW));
    world.ok(&["report", "mail", file.to_str().unwrap(), "--yes"]);
    let draft = world.path("answer.eml");
    let name = draft.to_str().unwrap();
    let letter = world.ok(&["letter", "R-1", "--preview", "--draft", name]);
    let bytes = std::fs::read(&draft).unwrap();
    let head = text(&bytes).replace("\r\n", "\n");
    for line in [
        "From: \"Weavers & Co\" <work@example.org>\n",
        "To: \"Odalind Quarrie\" <odalind@example.org>\n",
        "Subject: Re: S-1\n",
        "In-Reply-To: <one@example.org>\n",
        "References: <first@example.org> <one@example.org>\n",
        "X-Unsent: 1\n",
    ] {
        assert!(head.contains(line), "{line} in {head}");
    }
    // What it says is the letter.
    let read = fistmele::mail::read_mail(&bytes).unwrap();
    assert!(read.whole.replace("\r\n", "\n").trim() == letter.trim(), "{}", read.whole);
    assert_eq!(world.count("sent_letter"), 0);
    // It is not written over unasked, and then nothing is noted.
    assert!(world.refused(1, &["letter", "R-1", "--draft", name]).contains("answer.eml"));
    assert_eq!(world.count("sent_letter"), 0);
    world.ok(&["letter", "R-1", "--draft", name, "--replace"]);
    assert_eq!(world.count("sent_letter"), 1);
    let book = world.book.to_str().unwrap().to_owned();
    assert!(world.refused(1, &["letter", "R-1", "--draft", &book, "--replace"]).contains("book"));

    // Whoever is forgotten leaves no name of a mail behind, and the mail stays away.
    let place = maildir(&world, &[("new", "1", mail("one", ODALIND, "Thu, 26 Feb", LOW))]);
    world.ok(&["settle", "R-1"]);
    world.ok(&["forget", "A-1", "--yes"]);
    let kept: i64 = rusqlite::Connection::open(&world.book)
        .unwrap()
        .query_row("SELECT count(*) FROM noted_mail WHERE thread IS NOT NULL", [], |row| row.get(0))
        .unwrap();
    assert_eq!(kept, 0);
    assert!(subjects_of(&waiting(&world, &place, &[])).is_empty());
}

#[test]
fn a_mail_is_not_read_anew_while_the_book_and_the_day_are_the_same() {
    let world = World::new();
    world.add_string("S-1");
    let day = chrono::NaiveDate::from_ymd_opt(2026, 2, 27).unwrap();
    let (mut book, _) = Book::open(&world.book, day).unwrap();
    // Of one mark, so that it can be told which of the two was read.
    let told = |subject: &str| {
        let raw =
            mail("one", ODALIND, "Thu, 26 Feb", LOW).replace("Subject: S-1", &format!("Subject: {subject}"));
        vec![std::sync::Arc::new(read_mail(raw.as_bytes()).unwrap())]
    };
    let mut before = ReadBefore::default();
    let mut subject = |said: &str, unit: Unit, book: &mut Book| {
        let waits = came_in::waiting(book, &told(said), unit, day, &mut before).unwrap();
        waits.first().and_then(|one| one.subject.clone()).unwrap()
    };
    assert_eq!(subject("first", Unit::Inch, &mut book), "first");
    assert_eq!(subject("second", Unit::Inch, &mut book), "first");
    assert_eq!(subject("third", Unit::Cm, &mut book), "third");
    world.add_string("S-2");
    assert_eq!(subject("fourth", Unit::Cm, &mut book), "fourth");
}

#[cfg(unix)]
#[test]
fn what_came_in_hangs_on_the_peg_leads_to_its_page_and_is_answered_by_a_draft() {
    let world = World::new();
    world.add_string("S-1");
    let place = maildir(
        &world,
        &[
            ("new", "1", mail("one", ODALIND, "Thu, 26 Feb", LOW)),
            ("new", "2", mail("two", "Ann <ann@example.org>", "Fri, 27 Feb", "Thanks, lovely string!")),
        ],
    );
    world.ok(&["setting", "set", "mails.place", "nowhere"]);
    let counter = Running::on(&world);
    // The rest of the peg can be seen where the place cannot.
    assert!(counter.get("/").contains("is not there"));
    world.ok(&["setting", "set", "mails.place", place.to_str().unwrap()]);
    let peg = counter.get("/");
    assert!(peg.contains("<title>(2) On the peg") && peg.contains("Came in (2)"), "{peg}");
    let mark = |page: &str| {
        let rest = page.split("/came-in/").nth(1).unwrap();
        rest.split('"').next().unwrap().to_owned()
    };
    let first = mark(&peg);
    let page = counter.get(&format!("/came-in/{first}"));
    let at = page.split("location: ").nth(1).unwrap().split_whitespace().next().unwrap();
    let page = counter.get(at);
    assert!(page.contains("7 1&#x2f;8") && page.contains("S-1"), "{page}");

    world.ok(&["report", "mail", "--came-in", &first, "--yes"]);
    let peg = counter.get("/");
    assert!(peg.contains("Came in (1)") && !peg.contains(&format!("/came-in/{first}")), "{peg}");
    let second = mark(&peg);
    let form = hidden(&peg, "action=\"/came-in/aside\"", "form-mark");
    let fields = format!("form-mark={form}&seen=0&mark={second}");
    let done = counter.try_post("/came-in/aside", &fields).unwrap();
    assert!(done.starts_with("HTTP/1.1 303"), "{done}");
    assert!(counter.get("/").contains("Came in (0)"));
    // A mark that is none is a page that says so.
    assert!(counter.get("/came-in/0123456789").contains("has the mark"));

    let draft = counter.get("/draft/R-1");
    assert!(draft.contains("message/rfc822") && draft.contains("filename=\"R-1.eml\""), "{draft}");
    assert!(draft.contains("In-Reply-To: <one@example.org>"), "{draft}");
    assert_eq!(world.count("sent_letter"), 0);
    world.assert_sound();
}
