-- Why: an answer is worth more the seldomer one like it is drawn, so each question keeps its chance; and an archer may answer unasked, on the card that came with the string.

-- Chance with which the string was drawn for its month; absent where that was not kept, or nobody drew.
ALTER TABLE question ADD COLUMN chance REAL CHECK (chance > 0 AND chance <= 1);
-- Drawn where an answer is worth most, purely by lot, or not at all: the card came back by itself. Absent where that was not kept.
ALTER TABLE question ADD COLUMN drawn_by TEXT CHECK (drawn_by IN ('worth', 'lot', 'card'));
