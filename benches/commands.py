#!/usr/bin/env python3
"""Whole commands against the sqlite3 command, as ratios of one run.

    cargo build --release
    python3 benches/commands.py [--strings 10000,100000] [--rounds 25] [--rows 100000]

Every pair is run in turns, so that whatever else the machine does meets both; the median counts.
Writes a table for docs/performance.md. Needs sqlite3 and about 1 kB of disk for each string.
"""

import argparse
import os
import statistics
import subprocess
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
TARGET = os.environ.get("CARGO_TARGET_DIR", os.path.join(ROOT, "target"))
PROGRAM = os.path.join(TARGET, "release", "fistmele")
ENVIRONMENT = {"FISTMELE_TODAY": "2026-03-01", "PATH": os.environ["PATH"]}


def run(command, stdin=None):
    """Seconds on the clock, seconds of work, peak memory in MB."""
    source = open(stdin, "rb") if stdin else subprocess.DEVNULL
    start = time.perf_counter()
    child = subprocess.Popen(command, stdin=source, stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    _, status, used = os.wait4(child.pid, 0)
    clock = time.perf_counter() - start
    child.returncode = status
    if status != 0:
        raise SystemExit(f"{command} failed: {status}")
    return clock, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def pair(name, ours, theirs, rounds):
    """Runs both in turns; prepare() before each if given. Prints a line of the table."""
    results = ([], [])
    for _ in range(rounds):
        for (prepare, command, stdin), into in zip((ours, theirs), results):
            if prepare:
                prepare()
            into.append(run(command, stdin))
    middle = [[statistics.median(column) for column in zip(*rows)] for rows in results]
    (clock, work, memory), (their_clock, their_work, _) = middle
    print(
        f"| {name} | {clock * 1000:.1f} | {their_clock * 1000:.1f} | {clock / their_clock:.1f} "
        f"| {work / their_work:.1f} | {memory:.0f} |",
        flush=True,
    )


def orders(path, rows):
    """An order export with the columns that a shop fills."""
    with open(path, "w", encoding="utf-8") as out:
        out.write(
            "serial,order_ref,sold_on,archer,email,bow_kind,bow_marked_length,brace_low,brace_high,tips,"
            "stave,route,stated_measure,offset,ordered_length,built_length,yarn,strands,plies,lay,turns,"
            "spool,maker,silencers,price\n"
        )
        for i in range(rows):
            out.write(
                f"W-{i},O-{i},2025-{i % 12 + 1:02d}-{i % 28 + 1:02d},First{i % 977} Last{i % 1009},"
                f"a{i}@example.org,recurve,62,7.5,8,reinforced,laminated,marked,62,4,58,58,hmpe,16,2,z,24,"
                f"H-{i // 60},Bo Tamsin,no,18.00\n"
            )


COLUMNS = (
    "serial TEXT NOT NULL UNIQUE COLLATE NOCASE, order_ref TEXT, sold_on TEXT, archer TEXT, email TEXT, "
    "bow_kind TEXT{kind}, marked REAL, brace_low REAL, brace_high REAL, tips TEXT{tips}, stave TEXT{stave}, "
    "route TEXT{route}, stated REAL, off REAL, ordered REAL, built REAL, yarn TEXT{yarn}, strands INTEGER, "
    "plies INTEGER, lay TEXT, turns REAL, spool TEXT, maker TEXT, silencers TEXT, price TEXT"
)
# As many indexes as an import fills: archer 2, bow 1, spool 1, string 6, event 2, and the serial.
INDEXED = ["order_ref", "archer", "email", "spool", "sold_on", "marked", "ordered", "maker", "built", "turns", "strands", "price"]
LISTS = {
    "kind": "'selfbow','longbow','reflex-deflex','recurve','long-riser','horsebow','unknown'",
    "tips": "'reinforced','plain','unknown'",
    "stave": "'wood','laminated','unknown'",
    "route": "'old-string','marked','nock-to-nock','bow-maker','worked-out','repeat'",
    "yarn": "'polyester','hmpe','hmpe-lcp','linen','unknown'",
}
NAMES = {"kind": "bow_kind", "tips": "tips", "stave": "stave", "route": "route", "yarn": "yarn"}


def import_script(path, csv, checked, indexed):
    with open(path, "w", encoding="utf-8") as out:
        checks = {
            key: f" CHECK ({NAMES[key]} IN ({words}))" if checked else "" for key, words in LISTS.items()
        }
        # The book has the same words in its other columns too: as many lists as there.
        out.write(f"CREATE TABLE t ({COLUMNS.format(**checks)});\n")
        for number, column in enumerate(INDEXED if indexed else []):
            out.write(f"CREATE INDEX i{number} ON t ({column});\n")
        out.write(f".import --csv --skip 1 {csv} t\n")


def remove(path):
    for name in (path, path + "-journal"):
        if os.path.exists(name):
            os.remove(name)


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--strings", default="10000,100000")
    options.add_argument("--rounds", type=int, default=25)
    options.add_argument("--rows", type=int, default=100000)
    options.add_argument("--import-rounds", type=int, default=5)
    options = options.parse_args()
    print("| command | ms | sqlite3 ms | ratio | ratio of work | peak MB |")
    print("| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for strings in options.strings.split(","):
            book = os.path.join(folder, f"book{strings}.db")
            run([PROGRAM, "--book", book, "demo", "--strings", strings, "--seed", "1"])
            serial = f"S-{int(strings) // 2}"
            report = subprocess.run(
                ["sqlite3", book, "SELECT max(number) / 2 FROM report"], capture_output=True, text=True, check=True
            ).stdout.strip()
            query = ["sqlite3", book, f"SELECT * FROM string WHERE serial = '{serial}'"]
            plain = (None, query, None)
            for name, command in [
                ("sold show", ["sold", "show", serial]),
                ("report show", ["report", "show", f"R-{report}"]),
                ("history of a string", ["history", "--string", serial]),
                ("advise, asked again", ["advise", f"R-{report}"]),
            ]:
                pair(f"{name}, {strings} strings", (None, [PROGRAM, "--book", book, *command], None), plain, options.rounds)
            # A first verdict is stored and on disk before it is shown; so is the one insert beside it.
            numbers = iter(range(1, 10_000))
            current = []

            def next_report():
                current[:] = [f"R-{next(numbers)}"]
                first[4] = current[0]

            first = [PROGRAM, "--book", book, "advise", "R-1"]
            insert = [
                "sqlite3",
                book,
                "PRAGMA synchronous = EXTRA; INSERT INTO setting (name, value, set_on) VALUES ('month.questions', '5', '2026-03-01')",
            ]
            pair(f"advise, first verdict, {strings} strings", (next_report, first, None), (None, insert, None), options.rounds)
            scan = ["sqlite3", book, "SELECT s.serial, a.name, a.email FROM string s JOIN archer a ON a.id = s.archer_id WHERE a.name LIKE '%quarrie%'"]
            pair(f"sold find, {strings} strings", (None, [PROGRAM, "--book", book, "sold", "find", "quarrie"], None), (None, scan, None), max(3, options.rounds // 5))
            # What any month sheet has to read: strings and reports of the memory, by route and month.
            aggregate = [
                "sqlite3",
                book,
                "SELECT s.route, b.kind, substr(s.sold_on, 1, 7) AS month, count(*), count(r.number), sum(t.outcome = 'remade'), sum(t.outcome = 'adjusted'), avg(t.right_length_inch - s.ordered_inch) "
                "FROM string s JOIN bow b ON b.id = s.bow_id LEFT JOIN report r ON r.string_id = s.id LEFT JOIN settlement t ON t.report_number = r.number "
                "GROUP BY s.route, b.kind, month",
            ]
            pair(f"month, {strings} strings", (None, [PROGRAM, "--book", book, "month"], None), (None, aggregate, None), max(3, options.rounds // 5))
            check = ["sqlite3", book, "PRAGMA integrity_check; PRAGMA foreign_key_check"]
            pair(f"verify, {strings} strings", (None, [PROGRAM, "--book", book, "verify"], None), (None, check, None), 3)
            copy = os.path.join(folder, "copy.db")
            backup = ["sqlite3", book, f".backup '{copy}'"]
            pair(f"backup, {strings} strings", (lambda: remove(copy), [PROGRAM, "--book", book, "backup", copy], None), (lambda: remove(copy), backup, None), 3)
        csv = os.path.join(folder, "orders.csv")
        orders(csv, options.rows)
        book, table = os.path.join(folder, "new.db"), os.path.join(folder, "table.db")

        def new_book():
            remove(book)
            run([PROGRAM, "--book", book, "init"])

        ours = (new_book, [PROGRAM, "--book", book, "sold", "import", csv], None)
        for name, checked, indexed in (
            ("one unique index", False, False),
            ("as many indexes", False, True),
            ("the same and lists of words", True, True),
        ):
            script = os.path.join(folder, "import.sql")
            import_script(script, csv, checked, indexed)
            theirs = (lambda: remove(table), ["sqlite3", table], script)
            pair(f"sold import, {options.rows} rows ({name})", ours, theirs, options.import_rounds)


if __name__ == "__main__":
    main()
