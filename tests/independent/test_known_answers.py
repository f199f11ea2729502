"""A known answer reaches linked questions just as certainty would, by weighing jointly with the answer held fixed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.weighing import anew
from ledger.weighing.values import NONE, Case
from ledger.weighing.weigh import weigh_together
from tests.ledger_files import SMALL, put

AT = "2031-06-01T00:00:00Z"
OTHER = {
    "questions/box": "---\nkind: question\ntitle: What is in the box?\n---\n",
    "hypotheses/spring": "---\nkind: hypothesis\ntitle: A spring\nquestion: box\nprior: 0.5\nreason: x\n{spring}---\n",
    "hypotheses/weight": "---\nkind: hypothesis\ntitle: A weight\nquestion: box\nprior: 0.4\nreason: x\n{weight}---\n",
    "questions/lock": "---\nkind: question\ntitle: What locks it?\n---\n",
    "hypotheses/hook": "---\nkind: hypothesis\ntitle: A hook\nquestion: lock\nprior: 0.5\nreason: x\n"
    "favours: {{spring: 3}}\n---\n",
    "hypotheses/bolt": "---\nkind: hypothesis\ntitle: A bolt\nquestion: lock\nprior: 0.4\nreason: x\n---\n",
    "sources/lid": "---\nkind: source\ntitle: Lid\nmedium: photograph\nauthor: A\ndate: 2031\nrights: own\n"
    "reliability: C\n---\n",
    "evidence/dent": "---\nkind: evidence\ntitle: Dent\nsource: lid\ncredibility: 3\n"
    "bearing: {{spring: 0.2, weight: 0.7}}\n---\n",
    "evidence/rust": "---\nkind: evidence\ntitle: Rust\nsource: lid\ncredibility: 2\n"
    "bearing: {{spring: 0.9, weight: 0.4}}\n---\n",
}
LINKS = (
    ("needs: [{one}]\n", "favours: {{{one}: 4}}\n"),
    ("rules-out: [{one}]\n", "needs: [{two}]\n"),
    ("favours: {{{one}: 0.25}}\n", "rules-out: [{two}]\n"),
)


def sure(case: Case, answer: str) -> Case:
    """Return a case in which one answer is certain beforehand, and no evidence is left."""
    prior = {rival: 1.0 if rival == answer else 0.0 for rival in case.prior}
    return replace(case, prior=prior, stated={}, notes=(), predictions=(), feasibilities=(), soundness={}, trust={})


def position_of(casebook: Casebook, question: str) -> dict[str, float]:
    """Return the confidences by the shorter arithmetic, which the losses and the trials use."""
    found = anew.weighed(list(casebook.cases.values()), casebook.links)
    return dict(anew.position(found[question]).confidences)


@pytest.mark.parametrize("pair", LINKS)
@pytest.mark.parametrize("which", [0, 1, 2])
def test_a_known_answer_is_weighed_as_certain(pair: tuple[str, str], which: int, tmp_path: Path) -> None:
    """Confidences and priors of open questions are those of a joint weighing in which the answer is certain.

    The lock is linked to the box alone, and hears of the answer through it.
    """
    first = next(ref for ref in SMALL if ref.startswith("questions/"))
    rivals = sorted(ref for ref in SMALL if ref.startswith("hypotheses/"))[:2]
    names = {"one": rivals[0].split("/")[1], "two": rivals[1].split("/")[1]}
    said = {name: words.format(**names) for name, words in zip(("spring", "weight"), pair, strict=True)}
    put(tmp_path / "entries", {**SMALL, **{ref: text.format(**said) for ref, text in OTHER.items()}})
    post(open_store(tmp_path / STORE), tmp_path / "entries", AT)
    before = open_casebook(tmp_path, count=50)
    answer = (*rivals, NONE)[which]
    resolved = f"resolved: {{answer: {answer}, date: 2031-06-02, reason: opened}}\n"
    text = SMALL[first]
    head, _, rest = text.partition("\n---\n") if not text.startswith("---\n") else text[4:].partition("\n---\n")
    put(tmp_path / "entries", {first: f"---\n{head}\n{resolved}---\n{rest}"})
    post(open_store(tmp_path / STORE), tmp_path / "entries", AT)
    after = open_casebook(tmp_path, count=50)
    assert answer in (*before.cases[first].prior,)
    cases = [sure(one, answer) if ref == first else one for ref, one in before.cases.items()]
    joint = weigh_together(cases, before.links)
    for question in ("questions/box", "questions/lock"):
        for told in ("prior", "linked_prior", "confidence"):
            expected = {one.rival: getattr(one, told) for one in joint[question].standings}
            found = {one.rival: getattr(one, told) for one in after.weighings[question].standings}
            assert found == pytest.approx(expected, abs=1e-12), (question, told)
    weights, held = after.weighings["questions/box"].weights, joint["questions/box"].weights
    assert weights["evidence/dent"] == pytest.approx(held["evidence/dent"], abs=1e-9)
    assert position_of(after, "questions/lock") == pytest.approx(found, abs=1e-12)
    assert [link.name for link in after.links] == ["hypotheses/hook favours hypotheses/spring"]
