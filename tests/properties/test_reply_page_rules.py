"""The reply form's own rules: what the page refuses is what the intake refuses, and its confidences sum to one."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.publishing.replying.section import script
from ledger.replies.document import Stance
from ledger.replies.taking import checked
from tests.hostile import TEXTS
from tests.intakes import reply

REQUIRED = os.environ.get("WITNESS_BROWSER") == "required"
CONTROL = "\x00\x07\t\n\r\x1b\x7f\x85\xa0\u061c\u200b\u200d\u200e\u2028\u202e\u2066\ufeff\ue000\ud800\udfff\U000e0041"
SIGNS = st.one_of(
    st.sampled_from(CONTROL), st.sampled_from("ab ж\U0001f9ed"), st.characters(exclude_categories=("Cn", "Cs"))
)
WORDS = st.one_of(
    st.text(SIGNS, max_size=12),
    st.sampled_from(TEXTS),
    st.builds(lambda sign, times: sign * times, SIGNS, st.sampled_from((1, 79, 80, 81, 200, 201, 20_000, 20_001))),
)
REFS = st.one_of(
    st.sampled_from(("hypotheses/drum", "none-of-these", "calculations/x", "calculations/x-", "questions/a/b", "")),
    st.builds(lambda times: f"calculations/{'a' * times}", st.sampled_from((106, 107, 108))),
    st.text(SIGNS, max_size=6),
)
NAMES = st.one_of(st.sampled_from(("radius", "layout-2-length", "tooth_count", "-x", "Ü")), st.text(SIGNS, max_size=4))
# Hundredths, as the page makes them; a whole number has no point in JSON.
SHARES = st.integers(-100, 200).map(lambda points: points // 100 if points % 100 == 0 else points / 100)
DOCUMENTS = st.fixed_dictionaries(
    {},
    optional={
        "id": st.sampled_from(("x", "", "00000000-0000-4000-8000-00000000000G", "0" * 36)),
        "about": REFS,
        "stance": st.one_of(st.sampled_from(get_args(Stance)), st.sampled_from(("Agree", ""))),
        "text": WORDS,
        "confidences": st.dictionaries(REFS, SHARES, max_size=3),
        "inputs": st.dictionaries(REFS, st.dictionaries(NAMES, WORDS, max_size=3), max_size=2),
        "name": st.one_of(st.none(), WORDS),
        "contact": st.one_of(st.none(), WORDS),
    },
)


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    """An empty page with the form's script."""
    program = os.environ.get("WITNESS_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        )
        opened = browser.new_page()
        opened.add_script_tag(content=script().decode())
        yield opened
        browser.close()


def told(page: Any, document: dict[str, Any]) -> list[dict[str, str]]:
    """What the page finds wrong; half surrogates travel as JSON, as they would to the intake."""
    found: list[dict[str, str]] = page.evaluate("text => witnessReply.wrongsOf(JSON.parse(text))", json.dumps(document))
    return found


def by_field(faults: list[dict[str, str]]) -> list[list[tuple[str, str]]]:
    """Faults in one order."""
    return sorted(sorted(one.items()) for one in faults)


@settings(max_examples=400)
@given(changes=DOCUMENTS)
def test_the_page_refuses_what_the_intake_refuses(page: Any, changes: dict[str, Any]) -> None:
    """For any words, refs and numbers the page finds the same faults as the intake, in the same words.

    Scripts put names that are numbers first, so the order is left aside. Code points that are given to no
    sign are left out: a browser may know of newer ones than Python does.
    """
    document = reply(1, **changes)
    assert by_field(told(page, document)) == by_field([dict(one) for one in checked(document)[1]])


def test_a_rule_that_differs_is_found_out(page: Any) -> None:
    """The comparison sees a page that lets a sign through, and one that counts in halves of signs."""
    for text, planted in (("x\u202ey", "NO_LINE"), ("\U0001f9ed" * 60, "[...value].length")):
        document = reply(1, name=text)
        expected = [dict(one) for one in checked(document)[1]]
        changed = script().decode()
        changed = (
            changed.replace("!NO_LINE.test(text) && ", "")
            if planted == "NO_LINE"
            else changed.replace("[...value].length", "value.length")
        )
        assert changed != script().decode()
        other = page.context.browser.new_page()
        other.add_script_tag(content=changed)
        assert told(other, document) != expected
        assert told(page, document) == expected
        other.close()


@pytest.mark.parametrize("most", ["confidences", "inputs", "one"])
def test_too_many_are_refused_in_the_same_words(page: Any, most: str) -> None:
    """More rivals, calculations or inputs than the intake takes are refused in its words."""
    many = {
        "confidences": {"confidences": {f"hypotheses/h{n}": 0.0 for n in range(51)}},
        "inputs": {"inputs": {f"calculations/c{n}": {} for n in range(21)}},
        "one": {"inputs": {"calculations/c": {f"i{n}": "1" for n in range(61)}}},
    }[most]
    document = reply(1, **many)
    expected = [dict(one) for one in checked(document)[1]]
    assert len(expected) == 1
    assert told(page, document) == expected


MOVES = st.lists(
    st.one_of(
        st.tuples(st.just("move"), st.integers(0, 4), st.integers(-5, 120)),
        st.tuples(st.just("hold"), st.integers(0, 4), st.booleans()),
    ),
    max_size=12,
)
RUN = """([count, moves]) => {
  const shares = new witnessReply.Shares(count), told = []
  for (const [what, which, value] of moves) {
    const at = which % count, before = [...shares.points]
    if (what === "hold") shares.held[at] = value
    else shares.move(at, value)
    told.push([what, at, value, before, [...shares.points], [...shares.held]])
  }
  return told
}"""


@settings(max_examples=300)
@given(count=st.integers(2, 5), moves=MOVES)
def test_confidences_sum_to_one_whatever_is_moved(page: Any, count: int, moves: list[Any]) -> None:
    """After any moves: whole points from 0 to 100 that sum to 100; held ones stay; the moved one goes where it may."""
    for what, at, value, before, after, held in page.evaluate(RUN, [count, [list(one) for one in moves]]):
        assert sum(after) == 100
        assert all(isinstance(one, int) and 0 <= one <= 100 for one in after)
        if what == "hold":
            assert after == before
            continue
        fixed = sum(before[i] for i in range(count) if held[i] and i != at)
        assert all(after[i] == before[i] for i in range(count) if held[i] and i != at)
        free = [i for i in range(count) if i != at and not held[i]]
        assert after[at] == (min(max(value, 0), 100 - fixed) if free else before[at])


@settings(max_examples=100)
@given(first=st.integers(1, 99), second=st.integers(1, 99))
def test_the_others_keep_their_proportion(page: Any, first: int, second: int) -> None:
    """Moved up to everything and back, the others stand as they stood, to the point; in between in proportion."""
    moves = [["move", 0, first], ["move", 1, second], ["move", 2, 100], ["move", 2, 0], ["move", 2, 100]]
    told = page.evaluate(RUN, [3, moves])
    stood, without = told[1][4], told[3][4]
    total = stood[0] + stood[1]
    if total:
        assert without[0] == pytest.approx(100 * stood[0] / total, abs=50 / max(total, 1) + 1)
    back = page.evaluate(RUN, [3, [*moves[:2], ["move", 2, 100], ["move", 2, stood[2]]]])[3][4]
    assert all(abs(one - other) <= 1 for one, other in zip(back, stood, strict=True))


def test_the_script_is_one_text(tmp_path: Path) -> None:
    """The script is the same each time and begins no module, so that a page opened from a file may load it."""
    assert script() == script()
    assert b"\nimport " not in script()
    assert b"\nexport " not in script()
