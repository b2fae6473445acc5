-- Why: when something is struck, or brought back, the verdicts that were worked out in the meantime
-- are worked out anew, and no others. So a verdict says after which line of the history it was; in
-- older ones nobody knows.
ALTER TABLE verdict ADD COLUMN after_line INTEGER REFERENCES event (id);
CREATE INDEX verdict_by_line ON verdict (after_line, report_number);
