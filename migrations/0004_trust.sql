-- Why: a person who was erased does not come back with an old file; and the commands about one
-- string stay quick in a large book.

-- What remains of an erased person: keyed digests, to know the person again in an old file.
CREATE TABLE forgotten (
    id           INTEGER PRIMARY KEY,
    archer_id    INTEGER NOT NULL REFERENCES archer (id),
    forgotten_on TEXT NOT NULL CHECK (forgotten_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    digest       TEXT NOT NULL CHECK (length(digest) = 64)
) STRICT;
CREATE INDEX forgotten_by_digest ON forgotten (digest);
CREATE INDEX forgotten_by_archer ON forgotten (archer_id);

-- The key of these digests: random, one for each book, made when the first person is erased.
CREATE TABLE digest_key (
    id  INTEGER PRIMARY KEY CHECK (id = 1),
    key TEXT NOT NULL CHECK (length(key) = 64)
) STRICT;

-- The highest of the serials S-1, S-2, ... without reading the others.
CREATE INDEX string_by_made_number ON string (CAST(substr(serial, 3) AS INTEGER))
    WHERE serial GLOB '[Ss]-[0-9]*' AND substr(serial, 3) NOT GLOB '*[^0-9]*' AND length(serial) < 18;

-- Reports with second readings without reading the readings.
CREATE INDEX reading_by_brace ON reading (report_number) WHERE brace_inch IS NOT NULL;
