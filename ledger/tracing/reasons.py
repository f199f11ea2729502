"""Why a decision has lost ground, as frozen values; the words for them are found where they are shown."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Change:
    """One field of an entry, by its dotted path, as it was said then and is now; empty where it was not there.

    The entry's text is the field `text`, and of it only that it changed is told.
    """

    field: str
    before: str
    now: str


@dataclass(frozen=True)
class Reason:
    """One reason.

    kind     withdrawn   `about` was withdrawn, or its words erased: `words` says why
             source      what `about` was taken from was withdrawn
             revised     `about` says something else now: `changes`
             number      what the decision quotes of `about`, an output's name in `words`: `before` as quoted, `now`
             leader      of the question `about`: `before` and `now` a rival or None
             unweighed   the question `about` cannot be weighed: `words` says why
             answer      the question `about` came out as `now`
             confidence  of the hypothesis `about`: `before` (None if not known), `now`, `least` what the decision needs
             refused     `about` cannot be computed: `words` says why
             criterion   of the calculation `about`, `words`: the chances that it held `before` and holds `now`
             decision    the decision `about` has lost ground itself
    through  the ground of the decision that stands on `about`; empty where the decision names it
    """

    kind: str
    about: str
    through: str = ""
    words: str = ""
    before: str | float | None = None
    now: str | float | None = None
    least: float | None = None
    changes: tuple[Change, ...] = ()
