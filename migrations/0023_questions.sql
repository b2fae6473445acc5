-- Why: a question that a message left open is asked once and for one thing, so the book has to know what
-- it is about; and that nobody knows what a bow's maker gives is an answer that is not asked for again.

ALTER TABLE open_question ADD COLUMN about TEXT CHECK (about IN ('brace', 'turns-made', 'bow-kind', 'stave', 'tips', 'shots', 'bow-year', 'string-length', 'which-way-up'));
UPDATE open_question SET about = 'turns-made' WHERE question LIKE 'How many full turns in all were put in or taken out%';
ALTER TABLE bow ADD COLUMN range_unknown INTEGER NOT NULL DEFAULT 0 CHECK (range_unknown IN (0, 1));

-- Why: a letter is drafted under the subject of the mail that it answers.
ALTER TABLE noted_mail ADD COLUMN subject TEXT CHECK (length(subject) <= 500);
