-- Why: a brace height read with the paper strip is less exact than one by ruler, and the estimate has to
-- know which it was.

ALTER TABLE reading ADD COLUMN read_by TEXT CHECK (read_by IN ('ruler', 'strip'));
