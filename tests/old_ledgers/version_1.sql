-- A ledger of schema version 1.
BEGIN TRANSACTION;
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
INSERT INTO "edition" VALUES(1,'0de04e0d649c7d8de11ba5dcbe5f26b5aee703a6bb9ee901f06b3ef6f5bea78e',10);
INSERT INTO "edition" VALUES(2,'19c2c199773b7959f488799f470b19ac12e290aaaec4f6f9f61d2bb5f0b5d69c',14);
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
INSERT INTO "entry" VALUES(1,'evidence/hiss','evidence','hiss','It hisses when it shifts','It was the kettle.',12,'{"kind":"evidence","title":"It hisses when it shifts","source":"sources/letter","credibility":5,"withdrawn":"It was the kettle."}','');
INSERT INTO "entry" VALUES(2,'evidence/sleeve-groove','evidence','sleeve-groove','A groove runs round the sleeve',NULL,2,'{"kind":"evidence","title":"A groove runs round the sleeve","source":"bench-left","credibility":2,"marks":[{"label":"groove","box":[812,440,1010,655]}],"bearing":{"drum":0.9,"face-cam":"likely"}}','The groove is bright on both flanks — 3 µm at most.
');
INSERT INTO "entry" VALUES(3,'hypotheses/drum','hypothesis','drum','A drum with grooves',NULL,3,'{"kind":"hypothesis","title":"A drum with grooves","question":"forks","prior":0.6,"reason":"Most that were built have one."}','');
INSERT INTO "entry" VALUES(4,'hypotheses/face-cam','hypothesis','face-cam','A face cam',NULL,4,'{"kind":"hypothesis","title":"A face cam","question":"forks","prior":0.3,"reason":"Some were built."}','');
INSERT INTO "entry" VALUES(5,'investigation/gearbox','investigation','gearbox','An invented gearbox',NULL,5,'{"kind":"investigation","title":"An invented gearbox","by":["The bench"],"subject":"a gearbox nobody will open","invented":true}','All of it is invented.
');
INSERT INTO "entry" VALUES(6,'measurements/hub-wide','measurement','hub-wide','Width of the hub',NULL,13,'{"kind":"measurement","title":"Width of the hub","quantity":"62 ± 3 mm","source":"bench-left","credibility":2,"formerly":"hub-width","method":"scaled from a known bolt"}','');
INSERT INTO "entry" VALUES(7,'questions/forks','question','forks','What moves the forks?',NULL,7,'{"kind":"question","title":"What moves the forks?"}','');
INSERT INTO "entry" VALUES(8,'replies/reader-one','reply','reader-one',NULL,NULL,14,NULL,NULL);
INSERT INTO "entry" VALUES(9,'sources/bench-left','source','bench-left','The gearbox on a bench, from the left',NULL,9,'{"kind":"source","title":"The gearbox on a bench, from the left","medium":"photograph","author":"A. Draughtsman","date":"2031-05-17","rights":"by leave of the author","reliability":"B"}','');
INSERT INTO "entry" VALUES(10,'sources/letter','source','letter','A letter about the bench',NULL,11,'{"kind":"source","title":"A letter about the bench","medium":"document","author":"B. Fitter","date":2031,"rights":"by leave of the author","reliability":"F","origin":"bench-left"}','It came by post — on 3 sheets.
');
CREATE TABLE former_name (
    ref TEXT NOT NULL,
    entry INTEGER NOT NULL,
    PRIMARY KEY (ref),
    CHECK (instr(ref, '/') > 1),
    FOREIGN KEY (entry) REFERENCES entry (id)
) STRICT;
INSERT INTO "former_name" VALUES('measurements/hub-width',6);
CREATE TABLE reference (
    entry INTEGER NOT NULL,
    field TEXT NOT NULL,
    target INTEGER NOT NULL,
    PRIMARY KEY (entry, field, target),
    CHECK (field <> ''),
    FOREIGN KEY (entry) REFERENCES entry (id),
    FOREIGN KEY (target) REFERENCES entry (id)
) STRICT;
INSERT INTO "reference" VALUES(2,'bearing.hypotheses/drum',3);
INSERT INTO "reference" VALUES(2,'bearing.hypotheses/face-cam',4);
INSERT INTO "reference" VALUES(2,'source',9);
INSERT INTO "reference" VALUES(3,'question',7);
INSERT INTO "reference" VALUES(4,'question',7);
INSERT INTO "reference" VALUES(10,'origin',9);
INSERT INTO "reference" VALUES(1,'source',10);
INSERT INTO "reference" VALUES(6,'source',9);
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
INSERT INTO "revision" VALUES(1,1,'evidence','hiss','new','2031-05-17T09:00:00Z','8740c74b46082f4637b43371e6e0f71b83e08a2d66335e07efe90b1103a90e81','0000000000000000000000000000000000000000000000000000000000000000','7e2d20f1a0408d3644c715cf9c099746c4be632c9720979d3936228fec5d4747');
INSERT INTO "revision" VALUES(2,2,'evidence','sleeve-groove','new','2031-05-17T09:00:00Z','1cada4bb7e2a060a459fff994abf72f65afbfd60c620a6af98228de9af98d1bf','7e2d20f1a0408d3644c715cf9c099746c4be632c9720979d3936228fec5d4747','d068ee54bf5d21a9089b1ed9391a9b9434f996b51a30f95f716657142d6a97d4');
INSERT INTO "revision" VALUES(3,3,'hypothesis','drum','new','2031-05-17T09:00:00Z','e3c48b639d21ea18d83371ec9fbd2c077db4fc26e5fbb02c06ecdc536b0dae37','d068ee54bf5d21a9089b1ed9391a9b9434f996b51a30f95f716657142d6a97d4','09f6b06eb7d6a9ecf9a214d5b4d57f740ff085d89d9300483f3340a30901ab7e');
INSERT INTO "revision" VALUES(4,4,'hypothesis','face-cam','new','2031-05-17T09:00:00Z','9c41bf78b1e2a01b3b21867aeef3cb3f26a1724de110e1b9b30cce0797ceaa52','09f6b06eb7d6a9ecf9a214d5b4d57f740ff085d89d9300483f3340a30901ab7e','fe0c8c93f436ee1f79f1d48782cbb7f7ce4417d54d458bec31c3d3376f25e1bd');
INSERT INTO "revision" VALUES(5,5,'investigation','gearbox','new','2031-05-17T09:00:00Z','b97e9893e0e84e7234a8edfffcdc006c768223a24f0ef4a2461893cfa7fa817a','fe0c8c93f436ee1f79f1d48782cbb7f7ce4417d54d458bec31c3d3376f25e1bd','cc109666ea14a21aced53dd5aa70520630a02add9efa9b0a5148ac059c801dc8');
INSERT INTO "revision" VALUES(6,6,'measurement','hub-width','new','2031-05-17T09:00:00Z','d2bd85637a9596d7f2bdaf73b070e409542a1cd19fbcccec444e77be3a39b74e','cc109666ea14a21aced53dd5aa70520630a02add9efa9b0a5148ac059c801dc8','c6a3b4e19e03bb5bb2963529637ee6a1e250b18592cf6afda16facd2ec600058');
INSERT INTO "revision" VALUES(7,7,'question','forks','new','2031-05-17T09:00:00Z','357f4d43a38ec4615b2ba03af61b1dd60828eb0bd312a00d283c419f88741a73','c6a3b4e19e03bb5bb2963529637ee6a1e250b18592cf6afda16facd2ec600058','0feeb1d0fcda4c9c3613bfa61bcc8e2e068591e2443032aa3a09c60e0c6a384e');
INSERT INTO "revision" VALUES(8,8,'reply','reader-one','new','2031-05-17T09:00:00Z','d28c4cc02a2809d7f4102601cc062b584909bb4dfea59e26ae5edc80e0c702f4','0feeb1d0fcda4c9c3613bfa61bcc8e2e068591e2443032aa3a09c60e0c6a384e','7851a9e4f8dff0136234361a35542daffa9b5954a2e23f58172102a4084f2600');
INSERT INTO "revision" VALUES(9,9,'source','bench-left','new','2031-05-17T09:00:00Z','cf014079df715a4a979773faad9dbbfc06ec52103c371da13c3b9f10865f6a1c','7851a9e4f8dff0136234361a35542daffa9b5954a2e23f58172102a4084f2600','7990c55a97134153552deb3387df69366e1de93d2812e189374d3eeeee38db9e');
INSERT INTO "revision" VALUES(10,10,'source','letter','new','2031-05-17T09:00:00Z','e05abad141bf335328b3561d9ae3f1cfd5d61586388976bd2fcb2afb6f838565','7990c55a97134153552deb3387df69366e1de93d2812e189374d3eeeee38db9e','fb5477e31449a01e1aa4905b4591c5778bf21ccd3a3865d113509fb71ef4d2fe');
INSERT INTO "revision" VALUES(11,10,'source','letter','revised','2031-05-18T09:00:00Z','e629120913f3ed2c4fb70b2c11ad23846f6f259c2c78a587ad4c625a85ead18b','fb5477e31449a01e1aa4905b4591c5778bf21ccd3a3865d113509fb71ef4d2fe','fdb19dcaa618b02e6b4569a84713cb30c1b94d04032bb04a35ff08e30d80d868');
INSERT INTO "revision" VALUES(12,1,'evidence','hiss','withdrawn','2031-05-19T09:00:00Z','6adce17851f13faf6c3534e811bc51df67799875d00efe589d1e5be26abb56b7','fdb19dcaa618b02e6b4569a84713cb30c1b94d04032bb04a35ff08e30d80d868','ce92ea453d85f14a596fd9dd96605c27fe182b8e1f2ed11618f305c14073ea84');
INSERT INTO "revision" VALUES(13,6,'measurement','hub-wide','renamed','2031-05-20T09:00:00Z','f441f4692e60b6310104492860b25654cfdfbe53a92691bd217c08080c426a79','ce92ea453d85f14a596fd9dd96605c27fe182b8e1f2ed11618f305c14073ea84','465b45074e2291c0e7677fa71dcb92dee434300844702513db5ec2153df4c7b7');
INSERT INTO "revision" VALUES(14,8,'reply','reader-one','erased','2031-05-21T09:00:00Z',NULL,'465b45074e2291c0e7677fa71dcb92dee434300844702513db5ec2153df4c7b7','831e4d0cd6385d388cc740e57353c0c52059ccecee514a46677e9e0f90abff7c');
CREATE TABLE words (
    seq INTEGER NOT NULL,
    salt TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (seq),
    CHECK (length(salt) >= 32),
    FOREIGN KEY (seq) REFERENCES revision (seq)
) STRICT;
INSERT INTO "words" VALUES(1,'00000000000000000000000000000001','---
kind: evidence
title: It hisses when it shifts
source: sources/letter
credibility: 5
---
');
INSERT INTO "words" VALUES(2,'00000000000000000000000000000002','---
kind: evidence
title: A groove runs round the sleeve
source: bench-left
credibility: 2
marks:
  - {label: groove, box: [812, 440, 1010, 655]}
bearing:
  drum: 0.9
  face-cam: likely
---
The groove is bright on both flanks — 3 µm at most.
');
INSERT INTO "words" VALUES(3,'00000000000000000000000000000003','---
kind: hypothesis
title: A drum with grooves
question: forks
prior: 0.6
reason: Most that were built have one.
---
');
INSERT INTO "words" VALUES(4,'00000000000000000000000000000004','---
kind: hypothesis
title: A face cam
question: forks
prior: 0.3
reason: Some were built.
---
');
INSERT INTO "words" VALUES(5,'00000000000000000000000000000005','---
kind: investigation
title: An invented gearbox
by: [The bench]
subject: a gearbox nobody will open
invented: true
---
All of it is invented.
');
INSERT INTO "words" VALUES(6,'00000000000000000000000000000006','---
kind: measurement
title: Width of the hub
quantity: 62 ± 3 mm
source: bench-left
credibility: 2
method: scaled from a known bolt
---
');
INSERT INTO "words" VALUES(7,'00000000000000000000000000000007','---
kind: question
title: What moves the forks?
---
');
INSERT INTO "words" VALUES(9,'00000000000000000000000000000009','---
kind: source
title: The gearbox on a bench, from the left
medium: photograph
author: A. Draughtsman
date: 2031-05-17
rights: by leave of the author
reliability: B
---
');
INSERT INTO "words" VALUES(10,'0000000000000000000000000000000a','---
kind: source
title: A letter about the bench
medium: document
author: B. Fitter
date: 2031
rights: by leave of the author
reliability: F
origin: bench-left
---
');
INSERT INTO "words" VALUES(11,'0000000000000000000000000000000b','---
kind: source
title: A letter about the bench
medium: document
author: B. Fitter
date: 2031
rights: by leave of the author
reliability: F
origin: bench-left
---
It came by post — on 3 sheets.
');
INSERT INTO "words" VALUES(12,'0000000000000000000000000000000c','---
kind: evidence
title: It hisses when it shifts
source: sources/letter
credibility: 5
withdrawn: It was the kettle.
---
');
INSERT INTO "words" VALUES(13,'0000000000000000000000000000000d','---
kind: measurement
title: Width of the hub
quantity: 62 ± 3 mm
source: bench-left
credibility: 2
formerly: hub-width
method: scaled from a known bolt
---
');
CREATE INDEX revisions_of_entry ON revision (entry);
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
CREATE TRIGGER words_are_written_once BEFORE INSERT ON words
WHEN EXISTS (SELECT 1 FROM words WHERE seq = NEW.seq)
BEGIN
    SELECT RAISE(ABORT, 'the words of a revision never change; post a new one');
END;
CREATE TRIGGER words_never_change BEFORE UPDATE ON words
BEGIN
    SELECT RAISE(ABORT, 'the words of a revision never change; post a new one');
END;
CREATE INDEX references_to ON reference (target);
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
COMMIT;
PRAGMA application_id = 1464616260;
PRAGMA user_version = 1;
