-- Measures have other names: those of geometry's earlier.go.

CREATE TEMP TABLE earlier (name TEXT PRIMARY KEY, now TEXT NOT NULL) STRICT;
INSERT INTO earlier (name, now) VALUES
	('lift', 'pelvis height change'),
	('thrust', 'pelvis toward the ball'),
	('lead leg line offset', 'lead hip offset from the ankle-knee line'),
	('trail leg line offset', 'trail hip offset from the ankle-knee line'),
	('lead leg line offset over shank', 'lead hip offset from the ankle-knee line over shank'),
	('trail leg line offset over shank', 'trail hip offset from the ankle-knee line over shank'),
	('lead leg line angle', 'lead hip angle from the ankle-knee line'),
	('trail leg line angle', 'trail hip angle from the ankle-knee line');

UPDATE term SET text = (SELECT now FROM earlier WHERE name = text) WHERE text IN (SELECT name FROM earlier);
UPDATE finding SET measure = (SELECT now FROM earlier WHERE name = measure) WHERE measure IN (SELECT name FROM earlier);
UPDATE drill SET measure = (SELECT now FROM earlier WHERE name = measure) WHERE measure IN (SELECT name FROM earlier);
DROP TABLE earlier;
