//! What a command may write over, by whatever name: never the book nor what lies beside it, only
//! regular files, an existing one only where that was asked for.

use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::Command;

use crate::bare_world::{World, text};

/// A book with a string, a lot, and an import with one bad row.
fn world() -> World {
    let world = World::new();
    world.ok(&["spool", "add", "L-1", "--yarn", "hmpe"]);
    world.add_string("S-1");
    world.write(
        "orders.csv",
        "serial,sold_on,route,stated_measure,ordered_length\nW-1,2026-01-02,marked,62,58\nW-2,never,marked,62,58\n",
    );
    world
}

/// Every command that writes a file where somebody says, with the file's name put in.
fn writers(world: &World, file: &str) -> Vec<Vec<String>> {
    let orders = world.path("orders.csv").display().to_string();
    [
        vec!["month", "--html", file, "--replace"],
        vec!["month", "--csv", file, "--replace"],
        vec!["card", "S-1", "--html", file, "--replace"],
        vec!["sheet", "S-1", "--html", file, "--replace"],
        vec!["spool", "trace", "L-1", "--csv", file, "--replace"],
        vec!["backup", file, "--replace"],
        vec!["sold", "import", &orders, "--skip-bad", file],
    ]
    .into_iter()
    .map(|words| words.into_iter().map(str::to_owned).collect())
    .collect()
}

fn refused(world: &World, arguments: &[String]) -> String {
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    world.refused(1, &words)
}

fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn no_output_takes_the_place_of_the_book_by_any_name() {
    let world = world();
    symlink(&world.book, world.path("link.html")).unwrap();
    symlink(world.path("link.html"), world.path("second link.html")).unwrap();
    std::fs::hard_link(&world.book, world.path("hard.html")).unwrap();
    std::fs::create_dir(world.path("sub")).unwrap();
    symlink(world.folder(), world.path("sub/back")).unwrap();
    let before = (std::fs::read(&world.book).unwrap(), names_in(world.folder()));
    for name in
        ["book.db", "link.html", "second link.html", "hard.html", "sub/../book.db", "sub/back/book.db"]
    {
        for arguments in writers(&world, world.path(name).to_str().unwrap()) {
            let said = refused(&world, &arguments);
            assert!(said.contains("the book itself") && said.contains("nothing was written"), "{said}");
        }
        assert!((std::fs::read(&world.book).unwrap(), names_in(world.folder())) == before, "{name}");
    }
    // The book named through a link is the same book.
    let through = world.path("link.html");
    let said =
        World::command_on(&through).args(["month", "--html"]).arg(&world.book).arg("--replace").output();
    assert_eq!(said.unwrap().status.code(), Some(1));
    assert!(std::fs::read(&world.book).unwrap() == before.0);
    world.assert_sound();
}

#[test]
fn no_output_takes_a_name_that_the_database_uses_beside_a_book() {
    let world = world();
    std::fs::hard_link(&world.book, world.path("hard.db")).unwrap();
    symlink(&world.book, world.path("link.db")).unwrap();
    let before = names_in(world.folder());
    for end in ["-journal", "-wal", "-shm"] {
        for book in ["book.db", "hard.db", "link.db"] {
            for arguments in writers(&world, world.path(&format!("{book}{end}")).to_str().unwrap()) {
                let said = refused(&world, &arguments);
                assert!(said.contains("database keeps") || said.contains("log of"), "{said}");
            }
        }
        // Also where the book is named by its link.
        let name = world.path(&format!("link.db{end}"));
        let run =
            World::command_on(&world.path("link.db")).args(["month", "--csv"]).arg(name).output().unwrap();
        assert_eq!(run.status.code(), Some(1), "{}", text(&run.stderr));
    }
    assert_eq!(names_in(world.folder()), before);
    world.assert_sound();
}

#[test]
fn nothing_but_a_regular_file_is_written_to() {
    let world = world();
    std::fs::create_dir(world.path("folder")).unwrap();
    assert!(Command::new("mkfifo").arg(world.path("pipe")).status().unwrap().success());
    symlink(world.path("nothing here"), world.path("dangling")).unwrap();
    symlink(world.path("round"), world.path("round")).unwrap();
    for name in ["folder", "pipe", "dangling", "round", "/dev/null", "no such folder/x", ".."] {
        for arguments in writers(&world, world.path(name).to_str().unwrap()) {
            refused(&world, &arguments);
        }
    }
    assert!(!world.path("nothing here").exists(), "what a link points to was not made");
    assert!(Path::new("/dev/null").metadata().unwrap().len() == 0);
    assert_eq!(world.count("string"), 1);
}

#[test]
fn a_file_that_is_there_is_replaced_only_where_that_was_asked_for() {
    let world = world();
    let file = world.write("there.txt", "mine");
    symlink(&file, world.path("link.txt")).unwrap();
    for arguments in writers(&world, file.to_str().unwrap()) {
        let plain: Vec<String> = arguments.iter().filter(|word| *word != "--replace").cloned().collect();
        assert!(refused(&world, &plain).contains("is there already"));
        assert_eq!(std::fs::read(&file).unwrap(), b"mine");
        if plain == arguments {
            continue;
        }
        // Through a link its target is replaced, and the link stays one.
        for name in ["there.txt", "link.txt"] {
            std::fs::write(&file, "mine").unwrap();
            let words: Vec<String> = arguments
                .iter()
                .map(|word| word.replace(file.to_str().unwrap(), world.path(name).to_str().unwrap()))
                .collect();
            world.ok(&words.iter().map(String::as_str).collect::<Vec<_>>());
            assert_ne!(std::fs::read(&file).unwrap(), b"mine", "{words:?}");
            assert!(world.path("link.txt").symlink_metadata().unwrap().is_symlink());
            std::fs::write(&file, "mine").unwrap();
        }
    }
    assert!(!names_in(world.folder()).iter().any(|name| name.starts_with('.')), "a piece was left");
}

#[test]
fn a_copy_of_a_book_is_replaced_by_a_copy_alone() {
    let world = world();
    let copy = world.path("copy.db").display().to_string();
    world.ok(&["backup", &copy]);
    let before = std::fs::read(&copy).unwrap();
    for arguments in writers(&world, &copy).into_iter().filter(|words| words[0] != "backup") {
        refused(&world, &arguments);
        assert!(std::fs::read(&copy).unwrap() == before);
    }
    world.ok(&["backup", &copy, "--replace"]);
}

#[test]
fn two_outputs_are_two_files_and_what_is_read_is_not_written() {
    let world = world();
    let path = |name: &str| world.path(name).display().to_string();
    let said = world.refused(1, &["month", "--html", &path("m"), "--csv", &path("./m")]);
    assert!(said.contains("already read or written"), "{said}");
    assert!(!world.path("m").exists());
    world.write("m.html", "x");
    std::fs::hard_link(world.path("m.html"), world.path("m.csv")).unwrap();
    world.refused(1, &["month", "--html", &path("m.html"), "--csv", &path("m.csv"), "--replace"]);
    // A sheet that cannot be written keeps the other from being written as well.
    world.refused(1, &["month", "--csv", &path("new.csv"), "--html", &path("no folder/m.html")]);
    assert!(!world.path("new.csv").exists());
    let orders = path("orders.csv");
    let before = std::fs::read(&orders).unwrap();
    world.refused(1, &["sold", "import", &orders, "--skip-bad", &orders]);
    assert!(std::fs::read(&orders).unwrap() == before);
}

#[test]
fn manual_pages_do_not_take_the_place_of_anything_unasked() {
    let world = world();
    let folder = world.path("man");
    let man = folder.to_str().unwrap();
    world.ok(&["man", man]);
    assert!(world.refused(1, &["man", man]).contains("--replace"));
    world.ok(&["man", man, "--replace"]);
    std::fs::remove_file(folder.join("fistmele-month.1")).unwrap();
    std::fs::hard_link(&world.book, folder.join("fistmele-month.1")).unwrap();
    let before = std::fs::read(folder.join("fistmele.1")).unwrap();
    std::fs::write(folder.join("fistmele.1"), "mine").unwrap();
    assert!(world.refused(1, &["man", man, "--replace"]).contains("the book itself"));
    assert_eq!(std::fs::read(folder.join("fistmele.1")).unwrap(), b"mine", "all pages or none");
    std::fs::write(folder.join("fistmele.1"), before).unwrap();
    world.assert_sound();
}

#[test]
fn an_export_takes_an_empty_folder_by_its_own_name() {
    let world = world();
    let folder = world.path("empty");
    std::fs::create_dir(&folder).unwrap();
    symlink(&folder, world.path("link")).unwrap();
    world.ok(&["export", world.path("link").to_str().unwrap()]);
    assert!(folder.join("book.json").is_file());
    for name in ["book.db", "link", "orders.csv"] {
        world.refused(1, &["export", world.path(name).to_str().unwrap()]);
    }
    symlink(world.path("nothing here"), world.path("dangling")).unwrap();
    world.refused(1, &["export", world.path("dangling").to_str().unwrap()]);
    for end in ["-journal", "-wal", "-shm"] {
        world.refused(1, &["export", world.path(&format!("book.db{end}")).to_str().unwrap()]);
    }
    world.assert_sound();
}
