"""How pages say kinds, grades, credits, chances and decibans."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, isfinite, isinf, log10

from ledger.entries.models import Source
from ledger.quantities import percents
from ledger.quantities.chance import ABOVE, BELOW, LADDER, Chance, word_for
from ledger.weighing.strength import STEPS, strength

MINUS = "−"
ARTICLES = ("A", "An", "The")
KEPT = 0.95  # of the draws, from which on a criterion is called kept; missed from as many that miss it

# Singular, plural and what a section is for, by kind of entry; sections stand in the order of this table.
KINDS = {
    "question": ("Question", "Questions", "What is open, and how its rival answers compare."),
    "hypothesis": ("Hypothesis", "Hypotheses", "The rival answers."),
    "evidence": (
        "Evidence note",
        "Evidence notes",
        "One observation from one source each, with its bearing on the rivals.",
    ),
    "source": ("Source", "Sources", "Where things were seen, read or heard."),
    "measurement": ("Measurement", "Measurements", "Quantities with their uncertainty, from a source."),
    "calculation": ("Calculation", "Calculations", "Uses of calculators, with bound inputs."),
    "precedent": ("Precedent", "Precedents", "Mechanisms built, or only patented, before."),
    "lookout": ("Lookout", "Lookouts", "Observations still wanted, and what each rival says they would show."),
    "decision": ("Decision", "Decisions", "Design choices for the model, with the grounds they stand on."),
    "reply": ("Reply", "Replies", "What readers sent in."),
    "investigation": ("Investigation", "Investigation", "The mechanism under study."),
}
RELIABILITY = {
    "A": "completely reliable",
    "B": "usually reliable",
    "C": "fairly reliable",
    "D": "not usually reliable",
    "E": "unreliable",
    "F": "no basis to judge",
}
CREDIBILITY = {
    "1": "confirmed",
    "2": "probably true",
    "3": "possibly true",
    "4": "doubtful",
    "5": "improbable",
    "6": "no basis to judge",
}
PARTS = {
    "prior": "Priors",
    "origin": "Notes of one origin",
    "prediction": "Prediction against measurement",
    "feasibility": "Feasibility",
    "links": "Links to other questions",
}


def beyond(share: float, stated: float) -> str:
    """Return a chance that must be passed, to two digits and rounded away from where it stands, so that it is."""
    if share in (0, 1):
        return percents.chance(share)
    percent = 100 * share
    places = max(0, 1 - floor(log10(percent)))
    rounded = _away(percent, places, share < stated)
    while not 0 < rounded < 100:
        places += 1
        rounded = _away(percent, places, share < stated)
    return f"{rounded:.{places}f}{percents.PERCENT}"


def _away(percent: float, places: int, down: bool) -> float:
    scaled = percent * 10**places
    return float((floor(scaled) if down else ceil(scaled)) / 10**places)


def confidence(share: float) -> str:
    """Return a confidence with its word on the ICD 203 ladder: `82 % – very likely`.

    Below 1 % and above 99 % the ladder has no word. That is said, and the number is then not rounded onto the ladder.
    Raises ValueError for what is no chance.
    """
    word, shown = word_for(share), percents.chance(share)
    if word == BELOW:
        return f"{shown if share < percents.WHOLE else f'under 1{percents.PERCENT}'} – below the ladder"
    if word == ABOVE:
        return f"{shown if share == 1 else f'over 99{percents.PERCENT}'} – above the ladder"
    return f"{shown} – {word}"


def word(share: float) -> str:
    """Return the word alone that `confidence` gives a chance."""
    return confidence(share).partition(" – ")[2]


def spread(low: float, high: float) -> str:
    """Return the range of a chance."""
    least, most = percents.chance(low), percents.chance(high)
    return least if least == most else f"{least} to {most}"


def kept(share: float, certain: bool) -> str:
    """Return whether a criterion is kept: yes or no where nothing is in doubt, else in how many of the draws."""
    if certain and share in (0, 1):
        return "yes" if share else "no"
    return "kept in none" if share == 0 else f"kept {percents.draws(share)}"


def standing(share: float) -> str:
    """Return whether a criterion is kept, open or missed by the share of the draws: for, even or against."""
    return "for" if share >= KEPT else "against" if share <= 1 - KEPT else "even"


def truth(share: float, certain: bool) -> str:
    """Return a calculated yes or no, with the share of the draws that say so unless nothing is in doubt."""
    if share in (0, 1):
        return f"{'yes' if share else 'no'}{'' if certain else ', in all draws'}"
    return f"yes {percents.draws(share)}"


def decibans(weight: float) -> str:
    """Return a signed number of decibans to a tenth; a proper minus, and no sign on nought."""
    if not isfinite(weight):
        return "beyond measure"
    tenths = round(weight, 1)
    return "0.0" if tenths == 0 else f"{'+' if tenths > 0 else MINUS}{abs(tenths):.1f}"


def leaning(weight: float) -> str:
    """Return whether a weight, as it is shown, speaks for, against or neither."""
    tenths = round(weight, 1) if isfinite(weight) else weight
    return "for" if tenths > 0 else "against" if tenths < 0 else "even"


def odds(weight: float) -> str:
    """Return the odds that a margin in decibans amounts to: 10^(w/10) to 1."""
    if abs(weight) > 40:
        return "over 10,000 to 1"
    ratio = 10 ** (abs(weight) / 10)
    return f"about {ratio:.1f} to 1" if ratio < 9.95 else f"about {float(f'{ratio:.2g}'):,.0f} to 1"


def margin(weight: float) -> str:
    """Return the word of Kass and Raftery for a margin of this many decibans, with their name; it has no sign."""
    return f"“{strength(abs(weight)).word}” on the Kass–Raftery scale"


def ladder() -> tuple[tuple[str, str, str], ...]:
    """Return the ICD 203 ladder as rows: the word, its synonyms, its range."""
    return tuple((first, ", ".join(others), spread(low, high)) for (first, *others), low, high in LADDER)


def margins() -> tuple[tuple[str, str, str], ...]:
    """Return each bound of the Kass–Raftery scale in decibans and as odds, with the word for what exceeds it."""
    return tuple((f"{step.decibans:.1f}", f"{step.above:g} to 1", step.word) for step in STEPS)


def weighed(weight: float) -> str:
    """Return decibans with the word of Kass and Raftery: `+14.2 decibans – strong`.

    What speaks against is said to be for the other side, for `positive` is a word of the scale and no sign.
    """
    side = " for the other side" if leaning(weight) == "against" else ""
    said = decibans(weight) if isinf(weight) else f"{decibans(weight)} decibans – {strength(weight).word}"
    return said + side


def adding_up(parts: Sequence[float], total: float) -> tuple[str, ...]:
    """Return the parts to a tenth such that they add up, as shown, to the total as shown.

    Each part is rounded down; the tenths still owing go to the parts that lost most by it. Parts that do not add up to
    the total to begin with are shown as they are.
    """
    if not all(isfinite(part) for part in (*parts, total)) or abs(sum(parts) - total) > 1e-6:
        return tuple(decibans(part) for part in parts)
    floors = [floor(10 * part) for part in parts]
    owing = round(10 * round(total, 1)) - sum(floors)
    by_loss = sorted(range(len(parts)), key=lambda place: (floors[place] - 10 * parts[place], place))
    for place in by_loss[:owing]:
        floors[place] += 1
    return tuple(decibans(tenths / 10) for tenths in floors)


def bearing(stated: Chance) -> str:
    """Return a stated chance as it was meant: a ladder word with its range, a range, or a number."""
    if stated.word:
        return f"{stated.word} ({spread(stated.low, stated.high)})"
    return spread(stated.low, stated.high)


def reliability(grade: str) -> str:
    """Return a source's grade with its meaning."""
    return f"{grade}, {RELIABILITY[grade]}"


def credibility(grade: str) -> str:
    """Return a note's grade with its meaning."""
    return f"{grade}, {CREDIBILITY[grade]}"


def to_a_tenth(chance: float) -> str:
    """Return a chance to reckon with: `52.5 %`, `95 %`."""
    return f"{100 * chance:.1f}".removesuffix(".0") + percents.PERCENT


def made_by(source: Source) -> str:
    """Return who made a source and when: `Book by a retired gear cutter, 2009`."""
    return f"{source.medium.capitalize()} by {_within(source.author)}, {source.date}"


def credit(source: Source | None) -> str:
    """Return who made a source, when, and what its rights are; nothing for one that is not in the ledger."""
    return f"{made_by(source)}. {source.rights}" if source else ""


def _within(phrase: str) -> str:
    """Return a phrase as it stands within a sentence: its article is small, unless a name follows it (`A Halgrim`)."""
    article, _, rest = phrase.partition(" ")
    return f"{article.lower()} {rest}" if article in ARTICLES and rest[:1].islower() else phrase


def count(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun."""
    return f"{number} {one if number == 1 else many or one + 's'}"
