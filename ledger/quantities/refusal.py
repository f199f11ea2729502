"""The one way this layer refuses: what was given, what was expected, how to mend it."""

from __future__ import annotations

LONGEST = 80


class NotationError(ValueError):
    """Something written that cannot be read. The remedy is a sentence that says how to write it."""

    def __init__(self, given: object, expected: str, remedy: str) -> None:
        text = " ".join(str(given).split())
        self.given = text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
        self.expected = expected
        self.remedy = remedy
        super().__init__(self.given, expected, remedy)

    def __str__(self) -> str:
        return f"given {self.given}, expected {self.expected}; {self.remedy[:1].lower()}{self.remedy[1:]}"
