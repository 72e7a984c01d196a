-- Students, lessons, swings and clips; tags; what is searched; findings,
-- prescriptions and summaries of shots. A lesson's document stays the truth:
-- what stands here is read from it.

CREATE TABLE student (
	key       INTEGER PRIMARY KEY,
	name      TEXT NOT NULL,
	folded    TEXT NOT NULL UNIQUE, -- the name as it is compared
	handed    TEXT NOT NULL,
	sex       TEXT NOT NULL DEFAULT '',
	stature_m REAL
) STRICT;

CREATE TABLE lesson (
	key      INTEGER PRIMARY KEY,
	uid      TEXT NOT NULL UNIQUE, -- names the copies of its document
	id       TEXT NOT NULL,        -- of the document; several copies may share it
	path     TEXT NOT NULL UNIQUE, -- where the document is
	student  INTEGER REFERENCES student(key),
	title    TEXT NOT NULL,
	date     TEXT NOT NULL,
	coach    TEXT NOT NULL,
	place    TEXT NOT NULL,
	notes    TEXT NOT NULL,
	marks    INTEGER NOT NULL,
	shots    INTEGER NOT NULL,
	clubs    TEXT NOT NULL,
	sha256   TEXT NOT NULL,        -- of the document as it was recorded
	opened   INTEGER NOT NULL,     -- milliseconds since 1970, as all times here
	recorded INTEGER NOT NULL,
	deleted  INTEGER,              -- when it was put in the trash
	origin   TEXT NOT NULL DEFAULT '' -- path before it was deleted
) STRICT;
CREATE INDEX lesson_id ON lesson(id);
CREATE INDEX lesson_student ON lesson(student, date);
CREATE INDEX lesson_opened ON lesson(opened);

CREATE TABLE swing (
	key        INTEGER PRIMARY KEY,
	lesson     INTEGER NOT NULL REFERENCES lesson(key) ON DELETE CASCADE,
	ordinal    INTEGER NOT NULL,
	id         TEXT NOT NULL,
	label      TEXT NOT NULL,
	club       TEXT NOT NULL,
	club_group TEXT NOT NULL,
	positions  INTEGER NOT NULL,
	marks      INTEGER NOT NULL,
	UNIQUE (lesson, id)
) STRICT;

CREATE TABLE clip (
	swing    INTEGER NOT NULL REFERENCES swing(key) ON DELETE CASCADE,
	id       TEXT NOT NULL,
	view     TEXT NOT NULL,
	path     TEXT NOT NULL, -- absolute; '' where the document names none
	sha256   TEXT NOT NULL, -- fingerprint; '' where not known
	bytes    INTEGER,       -- of the file when it was seen last
	PRIMARY KEY (swing, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX clip_sha256 ON clip(sha256);

CREATE TABLE tag (
	lesson INTEGER NOT NULL REFERENCES lesson(key) ON DELETE CASCADE,
	folded TEXT NOT NULL,
	name   TEXT NOT NULL,
	PRIMARY KEY (lesson, folded)
) STRICT, WITHOUT ROWID;
CREATE INDEX tag_folded ON tag(folded);

CREATE TABLE finding (
	swing    INTEGER NOT NULL REFERENCES swing(key) ON DELETE CASCADE,
	ordinal  INTEGER NOT NULL,
	text     TEXT NOT NULL,
	measure  TEXT NOT NULL,
	position TEXT NOT NULL,
	value    REAL,
	low95    REAL,
	high95   REAL,
	verdict  TEXT NOT NULL,
	PRIMARY KEY (swing, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE prescription (
	lesson    INTEGER PRIMARY KEY REFERENCES lesson(key) ON DELETE CASCADE,
	set_up    TEXT NOT NULL, -- changes of the set-up, a line each
	feel      TEXT NOT NULL,
	drill     TEXT NOT NULL,
	film_next TEXT NOT NULL
) STRICT;

CREATE TABLE shot_summary (
	lesson  INTEGER NOT NULL REFERENCES lesson(key) ON DELETE CASCADE,
	block   TEXT NOT NULL,
	reading TEXT NOT NULL,
	shots   INTEGER NOT NULL,
	mean    REAL NOT NULL,
	sd      REAL, -- absent for one shot
	PRIMARY KEY (lesson, block, reading)
) STRICT, WITHOUT ROWID;

-- Folded texts: lower case, without diacritics. The row is the lesson's key.
CREATE VIRTUAL TABLE search USING fts5(student, title, tags, notes, findings, tokenize = 'unicode61', prefix = '1 2 3');
-- What was measured, with the target range it was judged against, so that
-- progress is drawn without solving again and old verdicts stay explainable.

CREATE TABLE term ( -- words that come again and again
	key  INTEGER PRIMARY KEY,
	text TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE measured (
	swing  INTEGER PRIMARY KEY REFERENCES swing(key) ON DELETE CASCADE,
	sha256 TEXT NOT NULL,    -- of the document that was measured
	at     INTEGER NOT NULL
) STRICT;

CREATE TABLE measure (
	swing       INTEGER NOT NULL REFERENCES swing(key) ON DELETE CASCADE,
	name        INTEGER NOT NULL REFERENCES term(key),
	position    INTEGER NOT NULL REFERENCES term(key),
	value       REAL NOT NULL,
	sd          REAL NOT NULL,
	low95       REAL NOT NULL,
	high95      REAL NOT NULL,
	unit        INTEGER NOT NULL REFERENCES term(key),
	method      INTEGER NOT NULL REFERENCES term(key),
	verdict     INTEGER NOT NULL REFERENCES term(key),
	target_low  REAL, -- an open end is absent
	target_high REAL,
	source      INTEGER REFERENCES term(key), -- of the range; absent where there is none
	PRIMARY KEY (swing, name, position)
) STRICT, WITHOUT ROWID;
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
INSERT INTO student (key, name, folded, handed, sex, stature_m) VALUES (7, 'Mara Lindqvist', 'mara lindqvist', 'right', 'female', 1.72);
INSERT INTO lesson (key, uid, id, path, student, title, date, coach, place, notes, marks, shots, clubs, sha256, opened, recorded)
	VALUES (3, '01HZZZZZZZZZZZZZZZZZZZZZZZ', '01JT8Q5W0MARAFIRSTVISIT001', '/lessons/mara.json', 7, 'First visit', '2026-05-02', 'Odalys Brandt', 'Fjordholm', 'Sore wrist', 336, 2, '7-iron', 'abc', 1777716000000, 1777716000000);
INSERT INTO swing (key, lesson, ordinal, id, label, club, club_group, positions, marks) VALUES (5, 3, 0, 's1', '7-iron, full swing', '7-iron', 'mid-iron', 7, 336);
INSERT INTO clip (swing, id, view, path, sha256, bytes) VALUES (5, 'fo', 'face-on', '/lessons/mara-face-on.mp4', 'f00d', 1234);
INSERT INTO tag (lesson, folded, name) VALUES (3, 'junior squad', 'Junior squad');
INSERT INTO finding (swing, ordinal, text, measure, position, value, low95, high95, verdict) VALUES (5, 0, 'Your belt turns 31°.', 'pelvis turn', 'top', 31.2, 26, 36.4, 'below');
INSERT INTO prescription (lesson, set_up, feel, drill, film_next) VALUES (3, 'Flare the lead foot', 'belt to the target', 'Chair', 'face-on');
INSERT INTO shot_summary (lesson, block, reading, shots, mean, sd) VALUES (3, 'before', 'club path', 2, -3.1, 1.5);
INSERT INTO search (rowid, student, title, tags, notes, findings) VALUES (3, 'mara lindqvist', 'first visit 2026-05-02', 'junior squad', 'sore wrist', 'your belt turns 31');
INSERT INTO term (key, text) VALUES (1, 'pelvis turn'), (2, 'top'), (3, 'deg'), (4, 'joint fit, 2 views'), (5, 'below'), (6, 'default'), (7, 'pelvis height change');
INSERT INTO measured (swing, sha256, at) VALUES (5, 'abc', 1777716000000);
INSERT INTO measure (swing, name, position, value, sd, low95, high95, unit, method, verdict, target_low, target_high, source) VALUES (5, 1, 2, 31.2, 2.6, 26, 36.4, 3, 4, 5, 40, NULL, 6);
INSERT INTO measure (swing, name, position, value, sd, low95, high95, unit, method, verdict, target_low, target_high, source) VALUES (5, 7, 2, -1.5, 0.5, -2.5, -0.5, 3, 4, 5, NULL, NULL, NULL);
INSERT INTO drill (key, name, text, measure, used, changed) VALUES (1, 'Chair', 'Touch it with both hips.', 'pelvis turn', 4, 1777716000000);
INSERT INTO target_set (key, student, version, made, ranges) VALUES (1, NULL, 1, 1777716000000, '[{"measure": "pelvis turn", "position": "top", "low": 35, "source": "mine"}, {"measure": "pelvis height change", "position": "impact", "low": -4, "source": "mine"}]');
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
INSERT INTO consent (student, minor, given_by, given, keep, show, share, until) VALUES (7, 1, 'Anna Lindqvist', '2026-05-02', 1, 1, 0, '2027-05-02');
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
UPDATE student SET id = '01JT8Q5W0MARALINDQVIST0001', handicap = '12.4', injuries = 'lead knee', contact = 'mara@fjordholm.example', kept = '2026-05-02' WHERE key = 7;
-- A visit is several swings: what of a measure's error they share, and what was tried
-- in a swing. Lessons of several swings are measured anew for it.

ALTER TABLE swing ADD COLUMN tried TEXT NOT NULL DEFAULT ''; -- '' for the usual swing
ALTER TABLE measure ADD COLUMN shared REAL NOT NULL DEFAULT 0;  -- standard deviation of what swings of a visit share
ALTER TABLE measure ADD COLUMN lasting REAL NOT NULL DEFAULT 0; -- of what is in all visits
UPDATE measured SET sha256 = '' WHERE swing IN (SELECT key FROM swing WHERE lesson IN (SELECT lesson FROM swing GROUP BY lesson HAVING count(*) > 1));
UPDATE swing SET tried = 'lead foot turned in' WHERE key = 5;
UPDATE measure SET shared = 1.3, lasting = 0.7 WHERE name = 1;
PRAGMA user_version = 7;
