-- Why: an archer who measures in centimetres is answered in centimetres, whatever the book is kept in.

ALTER TABLE archer ADD COLUMN unit TEXT CHECK (unit IN ('inch', 'cm', 'mm'));
