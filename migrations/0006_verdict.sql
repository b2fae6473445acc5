-- Why: what commands ask of a stored verdict stands in columns of its own. Its JSON is kept as it
-- was written and read by no statement, so that its names may change with the program.

-- Full turns to put in (+) or take out (-).
ALTER TABLE verdict ADD COLUMN turns INTEGER;
-- The string is to be turned end for end.
ALTER TABLE verdict ADD COLUMN flip INTEGER NOT NULL DEFAULT 0 CHECK (flip IN (0, 1));
-- Length to build, where the verdict says one.
ALTER TABLE verdict ADD COLUMN remake_length_inch REAL;
ALTER TABLE verdict ADD COLUMN likely_cause TEXT CHECK (likely_cause IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown'));

-- A value of another kind than expected is left out: it must not keep a book from being opened.
UPDATE verdict SET
    turns = CASE WHEN json_type(advice, '$.turns') = 'integer' THEN json_extract(advice, '$.turns') END,
    flip = coalesce(json_type(advice, '$.flip') = 'true', 0),
    remake_length_inch = CASE WHEN json_type(advice, '$.remake_length') IN ('real', 'integer') THEN json_extract(advice, '$.remake_length') END,
    likely_cause = CASE WHEN json_extract(advice, '$.likely_cause') IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown') THEN json_extract(advice, '$.likely_cause') END;

-- The order's reference is nothing a verdict is worked out from, and it is personal: it stands
-- with the string alone.
UPDATE verdict SET inputs = json_set(inputs, '$.string.order_ref', NULL)
    WHERE json_type(inputs, '$.string.order_ref') = 'text';
