-- Why: a sign of danger is stored as what it was when it was read, and what a person said of it stays known.

CREATE TABLE sign (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    -- By this number people speak of it: the first of a report is 1.
    number        INTEGER NOT NULL CHECK (number >= 1),
    kind          TEXT NOT NULL CHECK (kind IN ('string', 'bow', 'shot')),
    -- Stated as an event; else it is asked about.
    sure          INTEGER NOT NULL CHECK (sure IN (0, 1)),
    -- The archer's words; emptied when the archer is forgotten.
    words         TEXT NOT NULL CHECK (length(words) <= 400),
    stands_in     TEXT NOT NULL CHECK (stands_in IN ('subject', 'message', 'forwarded', 'answer')),
    standing      TEXT NOT NULL CHECK (standing IN ('open', 'called-off', 'confirmed', 'answered')),
    UNIQUE (report_number, number)
) STRICT;

-- What earlier versions kept: words of their own lists. Words of the bow led to a bowyer and still do;
-- words of a mishap and of damage were asked about and still are.
INSERT INTO sign (report_number, number, kind, sure, words, stands_in, standing)
    SELECT r.number, w.key + 1,
        CASE WHEN w.value IN ('tiller', 'limb twist', 'twisted limb', 'limb is twisted', 'limb has twisted', 'limb is bent', 'bent limb', 'tip twists', 'creak', 'ticking', 'hinge', 'crack', 'hairline', 'splinter', 'delaminat', 'lifted a layer', 'layer has lifted') THEN 'bow'
             WHEN w.value IN ('no arrow', 'without an arrow', 'without any arrow', 'without arrow', 'with nothing on the string', 'arrow fell off', 'arrow slipped off', 'arrow broke', 'nock broke', 'let go of the string', 'lost a nock') THEN 'shot'
             ELSE 'string' END,
        0, substr(w.value, 1, 400), 'message',
        CASE WHEN w.value IN ('tiller', 'limb twist', 'twisted limb', 'limb is twisted', 'limb has twisted', 'limb is bent', 'bent limb', 'tip twists', 'creak', 'ticking', 'hinge', 'crack', 'hairline', 'splinter', 'delaminat', 'lifted a layer', 'layer has lifted') THEN 'confirmed'
             ELSE 'open' END
    FROM report r, json_each(r.bow_signs) w;

ALTER TABLE report DROP COLUMN bow_signs;
