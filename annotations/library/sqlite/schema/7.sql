-- A visit is several swings: what of a measure's error they share, and what was tried
-- in a swing. Lessons of several swings are measured anew for it.

ALTER TABLE swing ADD COLUMN tried TEXT NOT NULL DEFAULT ''; -- '' for the usual swing
ALTER TABLE measure ADD COLUMN shared REAL NOT NULL DEFAULT 0;  -- standard deviation of what swings of a visit share
ALTER TABLE measure ADD COLUMN lasting REAL NOT NULL DEFAULT 0; -- of what is in all visits
UPDATE measured SET sha256 = '' WHERE swing IN (SELECT key FROM swing WHERE lesson IN (SELECT lesson FROM swing GROUP BY lesson HAVING count(*) > 1));
