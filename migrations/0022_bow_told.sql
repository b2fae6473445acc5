-- Why: what a report or a reading told of the bow is struck with it. Until now it stayed, and another
-- archer's brace range went on leading to turns. So it is kept what was told, and what was known before.
CREATE TABLE bow_told (
    id         INTEGER PRIMARY KEY,
    -- The reading that it came in with; the first of a report came in with that.
    reading_id INTEGER NOT NULL REFERENCES reading (id),
    -- What was known of the bow before, and what was told of it: values by the names of a bow's record.
    before     TEXT NOT NULL CHECK (json_valid(before)),
    told       TEXT NOT NULL CHECK (json_valid(told))
) STRICT;
CREATE UNIQUE INDEX bow_told_by_reading ON bow_told (reading_id);
