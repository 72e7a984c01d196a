-- Two students may have one name: their documents tell them apart by an id. What the
-- coach keeps of a student stands on a card. A student may be joined to another who is
-- the same person, and taken apart again.

ALTER TABLE student ADD COLUMN id TEXT NOT NULL DEFAULT '';    -- as in documents; '' while none has one
ALTER TABLE student ADD COLUMN named TEXT NOT NULL DEFAULT ''; -- the name as it is compared; in folded the id stands behind it where another has the name
ALTER TABLE student ADD COLUMN mass_kg REAL;
ALTER TABLE student ADD COLUMN handicap TEXT NOT NULL DEFAULT '';
ALTER TABLE student ADD COLUMN injuries TEXT NOT NULL DEFAULT '';
ALTER TABLE student ADD COLUMN contact TEXT NOT NULL DEFAULT '';
ALTER TABLE student ADD COLUMN photo TEXT NOT NULL DEFAULT ''; -- a file in the library's folder of photos; '' for none
ALTER TABLE student ADD COLUMN kept TEXT NOT NULL DEFAULT '';  -- the day on which the card was kept; '' for never
ALTER TABLE student ADD COLUMN joined INTEGER REFERENCES student(key); -- who it is; absent for itself
UPDATE student SET named = folded;
CREATE INDEX student_named ON student(named);
CREATE UNIQUE INDEX student_id ON student(id) WHERE id <> '';

ALTER TABLE lesson ADD COLUMN own INTEGER REFERENCES student(key); -- whom the document names; student is who that is
ALTER TABLE lesson ADD COLUMN called TEXT NOT NULL DEFAULT '';     -- the name in it, as it is compared
UPDATE lesson SET own = student, called = ifnull((SELECT folded FROM student WHERE student.key = lesson.student), '');
CREATE INDEX lesson_own ON lesson(own);
