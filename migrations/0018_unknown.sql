-- Why: of a string from a fair, a gift or old stock nobody may know how it was sized, or how long it
-- was ordered. Both are said to be unknown instead of being made up.

CREATE TABLE string_new (
    id               INTEGER PRIMARY KEY,
    serial           TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(serial) BETWEEN 1 AND 80),
    order_ref        TEXT CHECK (length(order_ref) <= 500),
    archer_id        INTEGER NOT NULL REFERENCES archer (id),
    bow_id           INTEGER NOT NULL REFERENCES bow (id),
    sold_on          TEXT NOT NULL CHECK (sold_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    delivered_on     TEXT CHECK (delivered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    route            TEXT NOT NULL CHECK (route IN ('old-string', 'marked', 'nock-to-nock', 'bow-maker', 'worked-out', 'repeat', 'unknown')),
    stated_inch      REAL CHECK (stated_inch BETWEEN 1 AND 200),
    stated_at        TEXT NOT NULL CHECK (stated_at IN ('loaded', 'hand-tight', 'unknown')),
    offset_inch      REAL CHECK (offset_inch BETWEEN -20 AND 20),
    -- Absent where nobody knows it: on the route unknown alone.
    ordered_inch     REAL CHECK (ordered_inch BETWEEN 1 AND 200),
    built_inch       REAL CHECK (built_inch BETWEEN 1 AND 200),
    built_at         TEXT NOT NULL CHECK (built_at IN ('loaded', 'hand-tight', 'unknown')),
    built_across     TEXT NOT NULL CHECK (built_across IN ('outside', 'inside')),
    old_yarn         TEXT CHECK (old_yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    old_make         TEXT CHECK (old_make IN ('laid', 'endless', 'unknown')),
    old_measured     TEXT CHECK (old_measured IN ('outside', 'inside')),
    yarn             TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    strands          INTEGER CHECK (strands BETWEEN 2 AND 100),
    plies            INTEGER NOT NULL CHECK (plies IN (2, 3)),
    lay              TEXT NOT NULL CHECK (lay IN ('z', 's')),
    turns            REAL CHECK (turns BETWEEN 0 AND 500),
    loop_top_inch    REAL CHECK (loop_top_inch BETWEEN 0 AND 20),
    loop_bottom_inch REAL CHECK (loop_bottom_inch BETWEEN 0 AND 20),
    serving_inch     REAL CHECK (serving_inch BETWEEN -20 AND 20),
    pre_stretched    INTEGER CHECK (pre_stretched IN (0, 1)),
    silencers        INTEGER CHECK (silencers IN (0, 1)),
    colours          TEXT CHECK (length(colours) <= 500),
    spool_id         INTEGER REFERENCES spool (id),
    maker            TEXT CHECK (length(maker) <= 500),
    maker_initials   TEXT CHECK (length(maker_initials) <= 20),
    price_cents      INTEGER CHECK (price_cents >= 0),
    replaces_id      INTEGER REFERENCES string (id),
    -- What an import said of this string, personal values apart, to tell the same row from another.
    imported         TEXT CHECK (imported IS NULL OR json_valid(imported)),
    CHECK (ordered_inch IS NOT NULL OR route = 'unknown'),
    CHECK (route <> 'unknown' OR (stated_inch IS NULL AND offset_inch IS NULL))
) STRICT;
INSERT INTO string_new (id, serial, order_ref, archer_id, bow_id, sold_on, delivered_on, route, stated_inch, stated_at, offset_inch, ordered_inch, built_inch, built_at, built_across, old_yarn, old_make, old_measured, yarn, strands, plies, lay, turns, loop_top_inch, loop_bottom_inch, serving_inch, pre_stretched, silencers, colours, spool_id, maker, maker_initials, price_cents, replaces_id, imported)
    SELECT id, serial, order_ref, archer_id, bow_id, sold_on, delivered_on, route, stated_inch, stated_at, offset_inch, ordered_inch, built_inch, built_at, built_across, old_yarn, old_make, old_measured, yarn, strands, plies, lay, turns, loop_top_inch, loop_bottom_inch, serving_inch, pre_stretched, silencers, colours, spool_id, maker, maker_initials, price_cents, replaces_id, imported FROM string;
DROP TABLE string;
ALTER TABLE string_new RENAME TO string;
CREATE INDEX string_by_order ON string (order_ref COLLATE NOCASE);
CREATE INDEX string_by_archer ON string (archer_id);
CREATE INDEX string_by_bow ON string (bow_id);
CREATE INDEX string_by_spool ON string (spool_id);
CREATE INDEX string_by_replaced ON string (replaces_id);
CREATE INDEX string_by_made_number ON string (CAST(substr(serial, 3) AS INTEGER))
    WHERE serial GLOB '[Ss]-[0-9]*' AND substr(serial, 3) NOT GLOB '*[^0-9]*' AND length(serial) < 18;
CREATE INDEX string_by_recorded_turns ON string (yarn)
    WHERE turns IS NOT NULL AND strands IS NOT NULL AND replaces_id IS NULL;
