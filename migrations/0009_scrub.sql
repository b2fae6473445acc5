-- Why: where the file could not be rewritten after a person was erased (a full disk, a command that
-- was cut off), the next command that opens the book does it; this row says that it is owed.

CREATE TABLE owed_scrub (
    id           INTEGER PRIMARY KEY CHECK (id = 1),
    forgotten_on TEXT NOT NULL CHECK (forgotten_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
