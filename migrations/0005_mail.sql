-- Why: what a mail left open is asked back in the next letter about its report.

CREATE TABLE open_question (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    question      TEXT NOT NULL CHECK (length(question) <= 1000)
) STRICT;
CREATE INDEX open_question_by_report ON open_question (report_number);
