-- Why: archers who never wrote are asked now and then whether their string fits. A question is
-- asked once; an answer that is corrected is a new line, and the newest counts.

CREATE TABLE question (
    id        INTEGER PRIMARY KEY,
    string_id INTEGER NOT NULL UNIQUE REFERENCES string (id),
    -- First day of the month it was drawn for.
    month     TEXT NOT NULL CHECK (month GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-01'),
    drawn_on  TEXT NOT NULL CHECK (drawn_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    letter_on TEXT CHECK (letter_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
CREATE INDEX question_by_month ON question (month);

CREATE TABLE question_answer (
    id          INTEGER PRIMARY KEY,
    question_id INTEGER NOT NULL REFERENCES question (id),
    answered_on TEXT NOT NULL CHECK (answered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    answer      TEXT NOT NULL CHECK (answer IN ('fits', 'turned', 'brace')),
    turns       REAL CHECK (turns BETWEEN -500 AND 500),
    brace_inch  REAL CHECK (brace_inch BETWEEN 0.1 AND 40),
    -- Right minus ordered length by the answer; 0 where it fits.
    error_inch  REAL NOT NULL CHECK (error_inch BETWEEN -20 AND 20)
) STRICT;
CREATE INDEX question_answer_by_question ON question_answer (question_id);
