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
