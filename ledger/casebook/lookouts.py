"""Which lookout would settle most: each held against where its question stands now."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.casebook.cases import chance_of, judged
from ledger.casebook.values import Casebook, Item
from ledger.entries.models import Hypothesis, Lookout
from ledger.weighing.looking import Worth, worth
from ledger.weighing.values import NONE


def worths(casebook: Casebook) -> dict[str, Worth]:
    """Return what each standing lookout is worth, by ref, the greatest expected gain first.

    Outcomes count by the middles of their chances, normalised rival by rival. A lookout of a question that is not
    weighed, or whose outcomes leave a rival out, is not among them.
    """
    found: dict[str, Worth] = {}
    for item in casebook.of_kind("lookout"):
        entry = item.entry
        assert isinstance(entry, Lookout)
        weighing = casebook.weighings.get(entry.question)
        if weighing is None:
            continue
        rivals = _hypotheses(casebook.rivals(entry.question))
        chances = {
            name: {rival: chance_of(bearing) for rival, bearing in judged(bearings, rivals).items()}
            for name, bearings in entry.outcomes.items()
        }
        if all(set(one) == set(rivals) for one in chances.values()):
            found[item.ref] = worth(
                {one.rival: one.confidence for one in weighing.standings},
                _normalised(chances, rivals),
                prior={one.rival: one.prior for one in weighing.standings},
                may_lead={one.rival for one in weighing.standings if one.may_lead} | {NONE},
            )
    return dict(sorted(found.items(), key=lambda pair: (-pair[1].gain, pair[0])))


def _hypotheses(items: tuple[Item, ...]) -> dict[str, Hypothesis]:
    return {item.ref: item.entry for item in items if isinstance(item.entry, Hypothesis)}


def _normalised(
    chances: Mapping[str, Mapping[str, float]], rivals: Mapping[str, Hypothesis]
) -> dict[str, dict[str, float]]:
    totals = {rival: sum(one[rival] for one in chances.values()) for rival in rivals}
    return {
        name: {rival: one[rival] / totals[rival] if totals[rival] > 0 else 1 / len(chances) for rival in rivals}
        for name, one in chances.items()
    }
