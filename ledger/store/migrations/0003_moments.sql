-- Derived from the record; may be emptied at any time and computed again.
-- confidences: JSON, by the ids of question and rival (or none-of-these), for an entry may be renamed later.
CREATE TABLE moment (
    seq INTEGER NOT NULL,
    "key" TEXT NOT NULL,
    confidences TEXT NOT NULL,
    PRIMARY KEY (seq),
    FOREIGN KEY (seq) REFERENCES revision (seq),
    CHECK (key <> ''),
    CHECK (json_valid(confidences))
) STRICT;
