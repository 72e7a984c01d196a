-- What was agreed on about a student's films: by whom, when and for what.

CREATE TABLE consent (
	student  INTEGER PRIMARY KEY REFERENCES student(key) ON DELETE CASCADE,
	minor    INTEGER NOT NULL, -- 1 where the student is not of age
	given_by TEXT NOT NULL,
	given    TEXT NOT NULL,    -- a day
	keep     INTEGER NOT NULL,
	show     INTEGER NOT NULL,
	share    INTEGER NOT NULL,
	until    TEXT NOT NULL     -- the last day on which films are kept; '' for none
) STRICT;
