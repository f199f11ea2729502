-- The record: revisions that only grow, the words they were written in, and where each entry stands.
PRAGMA application_id = 1464616260;

CREATE TABLE revision (
    seq INTEGER NOT NULL,
    entry INTEGER NOT NULL,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    action TEXT NOT NULL,
    at TEXT NOT NULL,
    digest TEXT,
    previous TEXT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (seq),
    CHECK (kind IN ('investigation', 'source', 'precedent', 'evidence', 'measurement', 'question', 'hypothesis', 'calculation', 'decision', 'lookout', 'reply')),
    CHECK (action IN ('new', 'revised', 'withdrawn', 'restored', 'renamed', 'erased')),
    CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z' AND julianday(at) IS NOT NULL),
    CHECK (entry <= seq AND (action = 'new') = (entry = seq)),
    CHECK ((action = 'erased') = (digest IS NULL)),
    CHECK (length(digest) = 64 AND digest NOT GLOB '*[^0-9a-f]*'),
    CHECK (length(previous) = 64 AND previous NOT GLOB '*[^0-9a-f]*'),
    CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*'),
    CHECK (name <> ''),
    FOREIGN KEY (entry) REFERENCES revision (seq)
) STRICT;

CREATE INDEX revisions_of_entry ON revision (entry);

-- A BEFORE trigger runs before REPLACE removes a row, in any program and under any pragma.
CREATE TRIGGER revision_follows_the_last BEFORE INSERT ON revision
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM revision)
    OR NEW.previous IS NOT coalesce((SELECT hash FROM revision ORDER BY seq DESC LIMIT 1), printf('%064d', 0))
BEGIN
    SELECT RAISE(ABORT, 'a revision follows the last one and names its hash');
END;

CREATE TRIGGER revision_never_changes BEFORE UPDATE ON revision
BEGIN
    SELECT RAISE(ABORT, 'a revision never changes; post a new one');
END;

CREATE TRIGGER revision_never_goes BEFORE DELETE ON revision
BEGIN
    SELECT RAISE(ABORT, 'a revision never goes; withdraw the entry or erase its words');
END;

CREATE TABLE words (
    seq INTEGER NOT NULL,
    salt TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (seq),
    CHECK (length(salt) >= 32),
    FOREIGN KEY (seq) REFERENCES revision (seq)
) STRICT;

CREATE TRIGGER words_are_written_once BEFORE INSERT ON words
WHEN EXISTS (SELECT 1 FROM words WHERE seq = NEW.seq)
BEGIN
    SELECT RAISE(ABORT, 'the words of a revision never change; post a new one');
END;

CREATE TRIGGER words_never_change BEFORE UPDATE ON words
BEGIN
    SELECT RAISE(ABORT, 'the words of a revision never change; post a new one');
END;

CREATE TABLE entry (
    id INTEGER NOT NULL,
    ref TEXT NOT NULL,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    title TEXT,
    withdrawn TEXT,
    latest INTEGER NOT NULL,
    front TEXT,
    body TEXT,
    PRIMARY KEY (id),
    UNIQUE (ref),
    CHECK (kind IN ('investigation', 'source', 'precedent', 'evidence', 'measurement', 'question', 'hypothesis', 'calculation', 'decision', 'lookout', 'reply')),
    CHECK (name <> '' AND substr(ref, instr(ref, '/') + 1) = name),
    CHECK (front IS NULL OR json_valid(front)),
    CHECK ((front IS NULL) = (title IS NULL) AND (front IS NULL) = (body IS NULL)),
    CHECK (front IS NOT NULL OR withdrawn IS NULL),
    FOREIGN KEY (id) REFERENCES revision (seq),
    FOREIGN KEY (latest) REFERENCES revision (seq)
) STRICT;

CREATE TABLE former_name (
    ref TEXT NOT NULL,
    entry INTEGER NOT NULL,
    PRIMARY KEY (ref),
    CHECK (instr(ref, '/') > 1),
    FOREIGN KEY (entry) REFERENCES entry (id)
) STRICT;

CREATE TABLE reference (
    entry INTEGER NOT NULL,
    field TEXT NOT NULL,
    target INTEGER NOT NULL,
    PRIMARY KEY (entry, field, target),
    CHECK (field <> ''),
    FOREIGN KEY (entry) REFERENCES entry (id),
    FOREIGN KEY (target) REFERENCES entry (id)
) STRICT;

CREATE INDEX references_to ON reference (target);

CREATE TABLE edition (
    number INTEGER NOT NULL,
    fingerprint TEXT NOT NULL,
    seq INTEGER NOT NULL,
    PRIMARY KEY (number),
    UNIQUE (fingerprint),
    CHECK (number >= 1),
    CHECK (length(fingerprint) = 64 AND fingerprint NOT GLOB '*[^0-9a-f]*'),
    FOREIGN KEY (seq) REFERENCES revision (seq)
) STRICT;

CREATE TRIGGER edition_follows_the_last BEFORE INSERT ON edition
WHEN NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM edition)
    OR EXISTS (SELECT 1 FROM edition WHERE fingerprint = NEW.fingerprint)
BEGIN
    SELECT RAISE(ABORT, 'an edition follows the last one and has content of its own');
END;

CREATE TRIGGER edition_never_changes BEFORE UPDATE ON edition
BEGIN
    SELECT RAISE(ABORT, 'a published edition never changes');
END;

CREATE TRIGGER edition_never_goes BEFORE DELETE ON edition
BEGIN
    SELECT RAISE(ABORT, 'a published edition never goes');
END;

-- One row for every rival that a note bears on; a note that bears on nothing has one row without a rival.
CREATE VIEW notes AS
SELECT note.ref AS note, note.title, source.ref AS source, source.front ->> '$.reliability' AS reliability,
    note.front ->> '$.credibility' AS credibility, CASE WHEN bearing.key = 'others' OR instr(bearing.key, '/') THEN bearing.key ELSE 'hypotheses/' || bearing.key END AS rival,
    bearing.value AS bearing,
    note.front ->> '$.uncounted' AS uncounted
FROM entry AS note
LEFT JOIN json_each(note.front, '$.bearing') AS bearing
LEFT JOIN entry AS source ON source.kind = 'source'
    AND source.ref IN (note.front ->> '$.source', 'sources/' || (note.front ->> '$.source'))
WHERE note.kind = 'evidence' AND note.withdrawn IS NULL AND note.front IS NOT NULL
ORDER BY note.ref, bearing.id;

CREATE VIEW measurements AS
SELECT measurement.ref AS measurement, measurement.title, measurement.front ->> '$.quantity' AS quantity,
    measurement.front ->> '$.method' AS method, source.ref AS source, source.front ->> '$.reliability' AS reliability,
    measurement.front ->> '$.credibility' AS credibility
FROM entry AS measurement
LEFT JOIN entry AS source ON source.kind = 'source'
    AND source.ref IN (measurement.front ->> '$.source', 'sources/' || (measurement.front ->> '$.source'))
WHERE measurement.kind = 'measurement' AND measurement.withdrawn IS NULL AND measurement.front IS NOT NULL
ORDER BY measurement.ref;

CREATE VIEW sources AS
SELECT source.ref AS source, source.title, source.front ->> '$.medium' AS medium, source.front ->> '$.author' AS author,
    source.front ->> '$.date' AS date, source.front ->> '$.reliability' AS reliability,
    (SELECT count(DISTINCT note.id) FROM reference JOIN entry AS note ON note.id = reference.entry
        WHERE reference.target = source.id AND note.kind = 'evidence' AND note.withdrawn IS NULL) AS notes,
    (SELECT count(DISTINCT measurement.id) FROM reference JOIN entry AS measurement ON measurement.id = reference.entry
        WHERE reference.target = source.id AND measurement.kind = 'measurement' AND measurement.withdrawn IS NULL) AS measurements
FROM entry AS source
WHERE source.kind = 'source' AND source.withdrawn IS NULL AND source.front IS NOT NULL
ORDER BY source.ref;

CREATE VIEW what_refers_to_what AS
SELECT entry.ref AS entry, reference.field, target.ref AS refers_to
FROM reference
JOIN entry ON entry.id = reference.entry
JOIN entry AS target ON target.id = reference.target
WHERE entry.withdrawn IS NULL
ORDER BY entry.ref, reference.field, target.ref;

CREATE VIEW nobody_refers_to AS
SELECT entry.ref AS entry, entry.kind, entry.title
FROM entry
WHERE entry.withdrawn IS NULL AND entry.front IS NOT NULL AND entry.kind <> 'investigation' AND NOT EXISTS (
    SELECT 1 FROM reference JOIN entry AS other ON other.id = reference.entry
    WHERE reference.target = entry.id AND reference.entry <> entry.id AND other.withdrawn IS NULL)
ORDER BY entry.ref;

CREATE VIEW history AS
SELECT entry.ref AS entry, revision.seq, revision.at, revision.action, revision.name AS name_then,
    words.seq IS NULL AS erased, words.text
FROM revision
JOIN entry ON entry.id = revision.entry
LEFT JOIN words ON words.seq = revision.seq
ORDER BY entry.ref, revision.seq;

CREATE VIEW withdrawn AS
SELECT entry.ref AS entry, entry.kind, entry.title, entry.withdrawn AS reason,
    (SELECT max(revision.at) FROM revision WHERE revision.entry = entry.id AND revision.action = 'withdrawn') AS at
FROM entry
WHERE entry.withdrawn IS NOT NULL
ORDER BY entry.ref;
