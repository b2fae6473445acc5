-- Why: the first shape of the book. Personal values stand in archer and letter_text alone, so
-- that a person can be erased in one place; measurements are appended and never changed.
-- Lengths are inches, money is minor units, dates are text YYYY-MM-DD. Order of events is the
-- row number: dates may stand still or go back.

CREATE TABLE archer (
    id    INTEGER PRIMARY KEY,
    name  TEXT CHECK (length(name) <= 500),
    email TEXT CHECK (length(email) <= 500)
) STRICT;
CREATE INDEX archer_by_email ON archer (email COLLATE NOCASE);
CREATE INDEX archer_by_name ON archer (name COLLATE NOCASE);

CREATE TABLE bow (
    id                       INTEGER PRIMARY KEY,
    archer_id                INTEGER NOT NULL REFERENCES archer (id),
    kind                     TEXT NOT NULL CHECK (kind IN ('selfbow', 'longbow', 'reflex-deflex', 'recurve', 'long-riser', 'horsebow', 'unknown')),
    marked_inch              REAL CHECK (marked_inch BETWEEN 1 AND 200),
    nock_to_nock_inch        REAL CHECK (nock_to_nock_inch BETWEEN 1 AND 200),
    draw_weight_lb           REAL CHECK (draw_weight_lb BETWEEN 1 AND 500),
    draw_at_inch             REAL CHECK (draw_at_inch BETWEEN 1 AND 60),
    brace_low_inch           REAL CHECK (brace_low_inch BETWEEN 0.1 AND 40),
    brace_high_inch          REAL CHECK (brace_high_inch BETWEEN 0.1 AND 40),
    tips                     TEXT NOT NULL CHECK (tips IN ('reinforced', 'plain', 'unknown')),
    stave                    TEXT NOT NULL CHECK (stave IN ('wood', 'laminated', 'unknown')),
    year                     INTEGER CHECK (year BETWEEN 1000 AND 3000),
    maker_allows_low_stretch INTEGER NOT NULL CHECK (maker_allows_low_stretch IN (0, 1)),
    CHECK ((brace_low_inch IS NULL) = (brace_high_inch IS NULL) AND (brace_low_inch IS NULL OR brace_low_inch <= brace_high_inch))
) STRICT;
CREATE INDEX bow_by_archer ON bow (archer_id);

CREATE TABLE spool (
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 200),
    yarn TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown'))
) STRICT;

CREATE TABLE string (
    id               INTEGER PRIMARY KEY,
    serial           TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(serial) BETWEEN 1 AND 80),
    order_ref        TEXT CHECK (length(order_ref) <= 500),
    archer_id        INTEGER NOT NULL REFERENCES archer (id),
    bow_id           INTEGER NOT NULL REFERENCES bow (id),
    sold_on          TEXT NOT NULL CHECK (sold_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    delivered_on     TEXT CHECK (delivered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    route            TEXT NOT NULL CHECK (route IN ('old-string', 'marked', 'nock-to-nock', 'bow-maker', 'worked-out', 'repeat')),
    stated_inch      REAL CHECK (stated_inch BETWEEN 1 AND 200),
    stated_at        TEXT NOT NULL CHECK (stated_at IN ('loaded', 'hand-tight', 'unknown')),
    offset_inch      REAL CHECK (offset_inch BETWEEN -20 AND 20),
    ordered_inch     REAL NOT NULL CHECK (ordered_inch BETWEEN 1 AND 200),
    built_inch       REAL CHECK (built_inch BETWEEN 1 AND 200),
    built_at         TEXT NOT NULL CHECK (built_at IN ('loaded', 'hand-tight', 'unknown')),
    built_across     TEXT NOT NULL CHECK (built_across IN ('outside', 'inside')),
    old_yarn         TEXT CHECK (old_yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    old_make         TEXT CHECK (old_make IN ('laid', 'endless', 'unknown')),
    old_measured     TEXT CHECK (old_measured IN ('outside', 'inside')),
    yarn             TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    strands          INTEGER CHECK (strands BETWEEN 2 AND 100),
    plies            INTEGER NOT NULL CHECK (plies IN (2, 3)),
    lay              TEXT NOT NULL CHECK (lay IN ('z', 's')),
    turns            REAL CHECK (turns BETWEEN 0 AND 500),
    loop_top_inch    REAL CHECK (loop_top_inch BETWEEN 0 AND 20),
    loop_bottom_inch REAL CHECK (loop_bottom_inch BETWEEN 0 AND 20),
    serving_inch     REAL CHECK (serving_inch BETWEEN -20 AND 20),
    pre_stretched    INTEGER CHECK (pre_stretched IN (0, 1)),
    silencers        INTEGER CHECK (silencers IN (0, 1)),
    colours          TEXT CHECK (length(colours) <= 500),
    spool_id         INTEGER REFERENCES spool (id),
    maker            TEXT CHECK (length(maker) <= 500),
    maker_initials   TEXT CHECK (length(maker_initials) <= 20),
    price_cents      INTEGER CHECK (price_cents >= 0),
    replaces_id      INTEGER REFERENCES string (id),
    -- What an import said of this string, personal values apart, to tell the same row from another.
    imported         TEXT CHECK (imported IS NULL OR json_valid(imported))
) STRICT;
CREATE INDEX string_by_order ON string (order_ref COLLATE NOCASE);
CREATE INDEX string_by_archer ON string (archer_id);
CREATE INDEX string_by_bow ON string (bow_id);
CREATE INDEX string_by_spool ON string (spool_id);
CREATE INDEX string_by_replaced ON string (replaces_id);

CREATE TABLE report (
    number      INTEGER PRIMARY KEY,
    string_id   INTEGER NOT NULL REFERENCES string (id),
    received_on TEXT NOT NULL CHECK (received_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Words found in the text that speak of the bow; kept apart so that the text can be erased.
    bow_signs   TEXT NOT NULL CHECK (json_valid(bow_signs))
) STRICT;
CREATE INDEX report_by_string ON report (string_id);

CREATE TABLE report_symptom (
    report_number INTEGER NOT NULL REFERENCES report (number),
    symptom       TEXT NOT NULL CHECK (symptom IN ('brace-low', 'brace-high', 'too-long', 'too-short', 'will-not-string', 'loose-tags', 'serving-place', 'serving-gap', 'serving-loose', 'nock-fit', 'nocking-point', 'loop-fit', 'kinked', 'fuzzy', 'frayed', 'broken-strand', 'noisy', 'hand-slap', 'not-as-ordered', 'dry-fire', 'bow-damage', 'other')),
    PRIMARY KEY (report_number, symptom)
) STRICT, WITHOUT ROWID;

CREATE TABLE letter_text (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    received_on   TEXT NOT NULL,
    body          TEXT NOT NULL
) STRICT;
CREATE INDEX letter_text_by_report ON letter_text (report_number);

CREATE TABLE reading (
    id                INTEGER PRIMARY KEY,
    report_number     INTEGER NOT NULL REFERENCES report (number),
    taken_on          TEXT NOT NULL CHECK (taken_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    brace_inch        REAL CHECK (brace_inch BETWEEN 0.1 AND 40),
    readings          INTEGER CHECK (readings BETWEEN 1 AND 1000),
    want_low_inch     REAL CHECK (want_low_inch BETWEEN 0.1 AND 40),
    want_high_inch    REAL CHECK (want_high_inch BETWEEN 0.1 AND 40),
    length_inch       REAL CHECK (length_inch BETWEEN 1 AND 200),
    length_at         TEXT CHECK (length_at IN ('loaded', 'hand-tight', 'unknown')),
    turns_changed     REAL CHECK (turns_changed BETWEEN -500 AND 500),
    turns_counted     REAL CHECK (turns_counted BETWEEN 0 AND 500),
    counted_over_inch REAL CHECK (counted_over_inch BETWEEN 0.1 AND 200),
    free_string_inch  REAL CHECK (free_string_inch BETWEEN 1 AND 200),
    fade_span_inch    REAL CHECK (fade_span_inch BETWEEN 0.1 AND 100),
    fade_gap_inch     REAL CHECK (fade_gap_inch BETWEEN 0.1 AND 50),
    fade_to_nock_inch REAL CHECK (fade_to_nock_inch BETWEEN 0.1 AND 100),
    shots             INTEGER CHECK (shots BETWEEN 0 AND 10000000),
    marker            TEXT CHECK (marker IN ('up', 'down', 'unknown')),
    serving_inch      REAL CHECK (serving_inch BETWEEN -20 AND 20),
    photo             TEXT CHECK (photo IN ('sound', 'damaged', 'differs'))
) STRICT;
CREATE INDEX reading_by_report ON reading (report_number);

CREATE TABLE verdict (
    id              INTEGER PRIMARY KEY,
    report_number   INTEGER NOT NULL REFERENCES report (number),
    made_on         TEXT NOT NULL,
    program_version TEXT NOT NULL,
    verdict         TEXT NOT NULL CHECK (verdict IN ('reassure', 'ask', 'adjust', 'mend', 'remake', 'refer', 'stop')),
    -- Everything it was worked out from: rules, string, bow, readings, pooled figures.
    inputs          TEXT NOT NULL CHECK (json_valid(inputs)),
    advice          TEXT NOT NULL CHECK (json_valid(advice))
) STRICT;
CREATE INDEX verdict_by_report ON verdict (report_number);

CREATE TABLE setting (
    id     INTEGER PRIMARY KEY,
    name   TEXT NOT NULL CHECK (length(name) <= 200),
    value  TEXT NOT NULL CHECK (length(value) <= 1000),
    set_on TEXT NOT NULL
) STRICT;
CREATE INDEX setting_by_name ON setting (name);

CREATE TABLE bench_test (
    id          INTEGER PRIMARY KEY,
    yarn        TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    strands     INTEGER NOT NULL CHECK (strands BETWEEN 2 AND 100),
    plies       INTEGER NOT NULL CHECK (plies IN (2, 3)),
    turns_few   REAL NOT NULL CHECK (turns_few BETWEEN 0 AND 500),
    length_few  REAL NOT NULL CHECK (length_few BETWEEN 1 AND 200),
    turns_many  REAL NOT NULL CHECK (turns_many BETWEEN 0 AND 500),
    length_many REAL NOT NULL CHECK (length_many BETWEEN 1 AND 200),
    radius_inch REAL NOT NULL CHECK (radius_inch BETWEEN 0.001 AND 1),
    made_on     TEXT NOT NULL,
    maker       TEXT
) STRICT;
CREATE INDEX bench_test_by_construction ON bench_test (yarn, strands, plies);

CREATE TABLE event (
    id            INTEGER PRIMARY KEY,
    day           TEXT NOT NULL,
    who           TEXT NOT NULL,
    what          TEXT NOT NULL,
    string_id     INTEGER REFERENCES string (id),
    report_number INTEGER REFERENCES report (number),
    -- Names of the fields concerned, never personal values.
    fields        TEXT NOT NULL
) STRICT;
CREATE INDEX event_by_string ON event (string_id);
CREATE INDEX event_by_report ON event (report_number);
