-- Why words were erased, as whoever did it says. It stands outside the chain, like the words themselves.
CREATE TABLE erasure (
    seq INTEGER NOT NULL,
    reason TEXT NOT NULL,
    PRIMARY KEY (seq),
    FOREIGN KEY (seq) REFERENCES revision (seq),
    CHECK (trim(reason) <> '')
) STRICT;

CREATE TRIGGER erasure_is_of_an_erasure BEFORE INSERT ON erasure
WHEN (SELECT action FROM revision WHERE seq = NEW.seq) IS NOT 'erased' OR EXISTS (SELECT 1 FROM erasure WHERE seq = NEW.seq)
BEGIN
    SELECT RAISE(ABORT, 'a reason is given once, for a revision that erases');
END;

CREATE TRIGGER erasure_never_changes BEFORE UPDATE ON erasure
BEGIN
    SELECT RAISE(ABORT, 'the reason of an erasure never changes');
END;
