-- Derived from the record; may be emptied at any time and computed again.
CREATE TABLE result (
    ref TEXT NOT NULL,
    "key" TEXT NOT NULL,
    summary TEXT NOT NULL,
    draws BLOB NOT NULL,
    PRIMARY KEY (ref),
    CHECK (key <> ''),
    CHECK (json_valid(summary))
) STRICT;

CREATE TABLE confidence (
    question TEXT NOT NULL,
    rival TEXT NOT NULL,
    prior REAL NOT NULL,
    confidence REAL NOT NULL,
    low REAL,
    high REAL,
    place INTEGER NOT NULL,
    PRIMARY KEY (question, rival),
    UNIQUE (question, place),
    CHECK (prior BETWEEN 0 AND 1),
    CHECK (confidence BETWEEN 0 AND 1),
    CHECK (low BETWEEN 0 AND 1 AND high BETWEEN low AND 1),
    CHECK ((low IS NULL) = (high IS NULL)),
    CHECK (place >= 1)
) STRICT;

-- Rivals in order of confidence, or of prior while a question has not been weighed; none-of-these is always one.
CREATE VIEW rivals AS
WITH rival AS (
    SELECT question.ref AS question, hypothesis.ref AS rival, hypothesis.title, hypothesis.front ->> '$.prior' AS stated_prior
    FROM entry AS hypothesis
    JOIN entry AS question ON question.kind = 'question'
        AND question.ref IN (hypothesis.front ->> '$.question', 'questions/' || (hypothesis.front ->> '$.question'))
    WHERE hypothesis.kind = 'hypothesis' AND hypothesis.withdrawn IS NULL AND question.withdrawn IS NULL
    UNION ALL
    SELECT ref, 'none-of-these', 'None of these', coalesce(front ->> '$.none-of-these', 0.1)
    FROM entry
    WHERE kind = 'question' AND withdrawn IS NULL AND front IS NOT NULL
)
SELECT rival.question, confidence.place, rival.rival, rival.title, rival.stated_prior, confidence.prior, confidence.confidence,
    confidence.low, confidence.high
FROM rival
LEFT JOIN confidence ON confidence.question = rival.question AND confidence.rival = rival.rival
ORDER BY rival.question, confidence.place IS NULL, confidence.place, rival.stated_prior DESC, rival.rival;
