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
