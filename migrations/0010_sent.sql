-- Why: a letter that went out is kept as it went, so that what was told an archer can be read when
-- the archer writes again. Kinds of letters are the program's own words; new ones need no new table.

CREATE TABLE sent_letter (
    id            INTEGER PRIMARY KEY,
    string_id     INTEGER NOT NULL REFERENCES string (id),
    -- Absent where no report led to it.
    report_number INTEGER REFERENCES report (number),
    sent_on       TEXT NOT NULL CHECK (sent_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    kind          TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    sent_to       TEXT CHECK (length(sent_to) <= 500),
    body          TEXT NOT NULL
) STRICT;
CREATE INDEX sent_letter_by_string ON sent_letter (string_id);
CREATE INDEX sent_letter_by_report ON sent_letter (report_number);
