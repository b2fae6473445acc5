-- Why: a string that holds less than four times the draw weight of its bow must be found without
-- reading every string, until it is replaced; and a figure that departs from its source says why.

-- Strings that were below the floor of strength when they were sold, when their bow's draw weight
-- became known, or when a setting changed. Whether they still are is worked out where it is asked.
CREATE TABLE below_floor (
    id        INTEGER PRIMARY KEY,
    string_id INTEGER NOT NULL UNIQUE REFERENCES string (id),
    marked_on TEXT NOT NULL CHECK (marked_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Day of the letter that says not to shoot it.
    warned_on TEXT CHECK (warned_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;

-- Those sold before, by the figures of the sources: pounds a strand, four times the draw weight.
INSERT INTO below_floor (string_id, marked_on)
    SELECT s.id, s.sold_on FROM string s JOIN bow b ON b.id = s.bow_id
    WHERE s.strands * CASE s.yarn WHEN 'polyester' THEN 50 WHEN 'hmpe' THEN 100 WHEN 'hmpe-lcp' THEN 70 WHEN 'linen' THEN 6 END
        < 4 * b.draw_weight_lb;

ALTER TABLE setting ADD COLUMN why TEXT CHECK (length(why) BETWEEN 1 AND 500);
