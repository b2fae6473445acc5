-- Why: what was noted by mistake can be struck. Nothing that is stored goes for it: a strike is a row of its own, and so is taking it back.

-- Of each thing that was struck one row, and one more where the strike was taken back.
CREATE TABLE strike (
    id            INTEGER PRIMARY KEY,
    -- The line of the history: who, and on which day.
    event_id      INTEGER NOT NULL REFERENCES event (id),
    -- A word of the program: string, report, reading, letter.
    what          TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 20),
    string_id     INTEGER NOT NULL REFERENCES string (id),
    report_number INTEGER REFERENCES report (number),
    reading_id    INTEGER REFERENCES reading (id),
    -- The line of the history that says that the letter went out.
    letter_id     INTEGER REFERENCES event (id),
    -- Emptied when the archer is forgotten; absent where a strike is taken back.
    why           TEXT CHECK (length(why) BETWEEN 1 AND 500),
    -- The strike that is taken back.
    undoes        INTEGER UNIQUE REFERENCES strike (id)
) STRICT;
CREATE INDEX strike_by_string ON strike (string_id);
CREATE INDEX strike_by_report ON strike (report_number);

-- What came in with which reading, so that it can be left out with it. Absent: with the report.
ALTER TABLE event ADD COLUMN reading_id INTEGER REFERENCES reading (id);
ALTER TABLE letter_text ADD COLUMN reading_id INTEGER REFERENCES reading (id);
ALTER TABLE report_symptom ADD COLUMN reading_id INTEGER REFERENCES reading (id);
ALTER TABLE sign ADD COLUMN reading_id INTEGER REFERENCES reading (id);
-- The questions that count are those of the newest reading; those of the first came with the report.
ALTER TABLE open_question ADD COLUMN reading_id INTEGER REFERENCES reading (id);
-- The string that was made, of the lines about a replacement.
ALTER TABLE event ADD COLUMN made_id INTEGER REFERENCES string (id);
-- The line of the history that tells what it was paid for.
ALTER TABLE cost ADD COLUMN event_id INTEGER REFERENCES event (id);
-- The line of the history that says that it went out; absent where that said nothing new.
ALTER TABLE sent_letter ADD COLUMN event_id INTEGER REFERENCES event (id);
CREATE INDEX event_by_reading ON event (reading_id) WHERE reading_id IS NOT NULL;
CREATE INDEX event_by_made ON event (made_id) WHERE made_id IS NOT NULL;

-- A symptom that a later reading says once more.
CREATE TABLE symptom_again (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    symptom       TEXT NOT NULL,
    reading_id    INTEGER NOT NULL REFERENCES reading (id)
) STRICT;
CREATE INDEX symptom_again_by_report ON symptom_again (report_number, symptom);

-- What was said of a sign after it was read: by a person, or by a later message. The newest counts;
-- sign.standing is what it was when it was read.
CREATE TABLE sign_said (
    id         INTEGER PRIMARY KEY,
    sign_id    INTEGER NOT NULL REFERENCES sign (id),
    standing   TEXT NOT NULL CHECK (standing IN ('open', 'called-off', 'confirmed', 'answered')),
    -- With which reading; absent where a person said it by itself.
    reading_id INTEGER REFERENCES reading (id),
    -- The reading holds the words of the sign once more.
    again      INTEGER NOT NULL CHECK (again IN (0, 1))
) STRICT;
CREATE INDEX sign_said_by_sign ON sign_said (sign_id);

-- Of what stands in books already: the n-th line about a reading is that of the n-th reading after
-- the first, and the n-th letter that of the n-th answer that was paid for. Where the numbers do not
-- agree, nothing is known of it.
UPDATE event SET reading_id = g.id FROM
    (SELECT id, report_number, row_number() OVER (PARTITION BY report_number ORDER BY id) - 1 AS place, count(*) OVER (PARTITION BY report_number) - 1 AS of FROM reading) g
    JOIN (SELECT id, report_number, row_number() OVER (PARTITION BY report_number ORDER BY id) AS place, count(*) OVER (PARTITION BY report_number) AS of FROM event WHERE what = 'reading') e
        ON e.report_number = g.report_number AND e.place = g.place AND e.of = g.of
    WHERE event.id = e.id;
UPDATE cost SET event_id = e.id FROM
    (SELECT id, report_number, row_number() OVER (PARTITION BY report_number ORDER BY id) AS place, count(*) OVER (PARTITION BY report_number) AS of FROM cost WHERE what = 'answer') c
    JOIN (SELECT id, report_number, row_number() OVER (PARTITION BY report_number ORDER BY id) AS place, count(*) OVER (PARTITION BY report_number) AS of FROM event WHERE what IN ('letter', 'look-over')) e
        ON e.report_number = c.report_number AND e.place = c.place AND e.of = c.of
    WHERE cost.id = c.id;
UPDATE event SET made_id = (SELECT m.string_id FROM remake m WHERE m.report_number = event.report_number)
    WHERE what IN ('remake', 'sent', 'back');
UPDATE cost SET event_id = (SELECT min(e.id) FROM event e WHERE e.report_number = cost.report_number AND e.what = 'remake')
    WHERE what = 'remake';
UPDATE open_question SET reading_id = (SELECT max(g.id) FROM reading g WHERE g.report_number = open_question.report_number);
