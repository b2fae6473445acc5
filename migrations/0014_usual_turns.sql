-- Why: the turns that the workshop usually puts in are learned from the newest strings of a yarn
-- whose turns are on record, without reading all the others.

CREATE INDEX string_by_recorded_turns ON string (yarn)
    WHERE turns IS NOT NULL AND strands IS NOT NULL AND replaces_id IS NULL;
