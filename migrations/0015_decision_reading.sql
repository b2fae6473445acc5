-- Why: turns that the maker decided hold for what had been read by then. A count of readings says too
-- little once one can be struck and another come in its place, so the readings themselves are kept.

CREATE TABLE decision_reading (
    decision_id INTEGER NOT NULL REFERENCES decision (id),
    -- A reading of brace height or turns that counted when it was decided.
    reading_id  INTEGER NOT NULL REFERENCES reading (id),
    PRIMARY KEY (decision_id, reading_id)
) STRICT, WITHOUT ROWID;

INSERT INTO decision_reading (decision_id, reading_id)
    SELECT d.id, g.id FROM decision d JOIN reading g ON g.report_number = d.report_number
    WHERE (g.brace_inch IS NOT NULL OR g.turns_changed IS NOT NULL)
        AND (SELECT count(*) FROM reading o WHERE o.report_number = g.report_number AND o.id <= g.id) <= d.readings;
ALTER TABLE decision DROP COLUMN readings;
