-- Why: an archer who writes from another address from now on is answered there, and is still known
-- by the former one: in mails, in order exports, and as somebody who was forgotten.

CREATE TABLE former_address (
    id        INTEGER PRIMARY KEY,
    archer_id INTEGER NOT NULL REFERENCES archer (id),
    email     TEXT NOT NULL CHECK (length(email) BETWEEN 1 AND 500),
    until_on  TEXT NOT NULL CHECK (until_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
CREATE INDEX former_address_by_archer ON former_address (archer_id);
CREATE INDEX former_address_by_email ON former_address (email COLLATE NOCASE);
