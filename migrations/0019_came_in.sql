-- Why: mails are looked for where a mail program keeps them; one that was noted, or put aside, must
-- not wait again, and a letter is to stand in the archer's mail program below the mail it answers.

CREATE TABLE noted_mail (
    id            INTEGER PRIMARY KEY,
    -- SHA-256 of what tells it from any other mail: its own name, or all of it where it has none.
    mark          TEXT NOT NULL CHECK (length(mark) = 64 AND mark NOT GLOB '*[^0-9a-f]*'),
    noted_on      TEXT NOT NULL CHECK (noted_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Both absent where it was put aside: it is about no report.
    report_number INTEGER REFERENCES report (number),
    reading_id    INTEGER REFERENCES reading (id),
    -- The mails it stands below, the first first, and itself: names of mails, a blank between two.
    thread        TEXT CHECK (length(thread) BETWEEN 1 AND 4000),
    CHECK ((report_number IS NULL) = (reading_id IS NULL))
) STRICT;
CREATE INDEX noted_mail_by_mark ON noted_mail (mark);
CREATE INDEX noted_mail_by_report ON noted_mail (report_number);
