-- Why: a report is followed to its end: what was made for it, what it cost, what it was.

-- A replacement made for a report; the string itself says which string it replaces.
CREATE TABLE remake (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    string_id     INTEGER NOT NULL UNIQUE REFERENCES string (id),
    made_on       TEXT NOT NULL CHECK (made_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    sent_on       TEXT CHECK (sent_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Day on which the old string came back.
    back_on       TEXT CHECK (back_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
CREATE INDEX remake_by_report ON remake (report_number);

-- Money that went into a report, at the figures of its day.
CREATE TABLE cost (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    day           TEXT NOT NULL,
    what          TEXT NOT NULL CHECK (what IN ('answer', 'remake', 'label', 'material', 'history')),
    cents         INTEGER NOT NULL CHECK (cents >= 0)
) STRICT;
CREATE INDEX cost_by_report ON cost (report_number);

-- How a report ended. One that is taken up again keeps its line; the newest counts.
CREATE TABLE settlement (
    id                 INTEGER PRIMARY KEY,
    report_number      INTEGER NOT NULL REFERENCES report (number),
    settled_on         TEXT NOT NULL CHECK (settled_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    outcome            TEXT NOT NULL CHECK (outcome IN ('reassured', 'adjusted', 'mended', 'remade', 'referred', 'unfinished')),
    cause              TEXT NOT NULL CHECK (cause IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown')),
    proposed_cause     TEXT NOT NULL,
    -- Loaded length that would have been right, where it is known.
    right_length_inch  REAL CHECK (right_length_inch BETWEEN 1 AND 200)
) STRICT;
CREATE INDEX settlement_by_report ON settlement (report_number);

-- What a spreadsheet of old reports said, to tell the same row from another.
ALTER TABLE report ADD COLUMN imported TEXT CHECK (imported IS NULL OR json_valid(imported));
-- In old reports often nothing but the direction is known.
ALTER TABLE report ADD COLUMN direction TEXT CHECK (direction IN ('long', 'short'));

ALTER TABLE spool ADD COLUMN colour TEXT CHECK (length(colour) <= 500);
ALTER TABLE spool ADD COLUMN bought_on TEXT CHECK (bought_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]');
