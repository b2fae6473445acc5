-- Why: the maker may decide a report otherwise than it is worked out; what was decided, why, and by
-- whom is appended, and the newest line counts. Who pays is asked of verdicts, so it is a column.

CREATE TABLE decision (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    decided_on    TEXT NOT NULL CHECK (decided_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    who           TEXT NOT NULL,
    why           TEXT NOT NULL CHECK (length(why) <= 500),
    -- Back to what is worked out: nothing else is set then.
    taken_back    INTEGER NOT NULL CHECK (taken_back IN (0, 1)),
    terms_of      TEXT CHECK (terms_of IN ('workshop', 'wear', 'handling', 'own-cut')),
    free          INTEGER CHECK (free IN (0, 1)),
    remake        INTEGER CHECK (remake IN (0, 1)),
    turns         INTEGER CHECK (turns BETWEEN -500 AND 500),
    length_inch   REAL CHECK (length_inch BETWEEN 1 AND 200),
    -- Readings that the report had then: turns hold for what had been read.
    readings      INTEGER NOT NULL CHECK (readings >= 0)
) STRICT;
CREATE INDEX decision_by_report ON decision (report_number);

-- What is made is free (1) or paid by the archer (0); absent where nothing is made, and in verdicts
-- before terms, when all was free.
ALTER TABLE verdict ADD COLUMN free INTEGER CHECK (free IN (0, 1));
