-- The coach's drills, and target ranges of the coach's own and for a student.
-- Ranges are never changed: each change is a new version.

CREATE TABLE drill (
	key     INTEGER PRIMARY KEY,
	name    TEXT NOT NULL,
	text    TEXT NOT NULL,
	measure TEXT NOT NULL DEFAULT '', -- that it is for; '' for any
	used    INTEGER NOT NULL DEFAULT 0, -- how often it was prescribed
	changed INTEGER NOT NULL,
	deleted INTEGER
) STRICT;

CREATE TABLE target_set (
	key     INTEGER PRIMARY KEY,
	student INTEGER REFERENCES student(key) ON DELETE CASCADE, -- absent for the coach's own
	version INTEGER NOT NULL, -- from 1, for each student and for the coach
	made    INTEGER NOT NULL,
	ranges  TEXT NOT NULL     -- JSON, as targets.json
) STRICT;
CREATE UNIQUE INDEX target_set_version ON target_set(ifnull(student, 0), version);
