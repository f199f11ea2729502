"""All pages of a casebook: Markdown by path."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from importlib.resources import files
from pathlib import Path

from ledger.building.sheet import decides
from ledger.calculators.contract import Calculator
from ledger.calculators.printed import CASES
from ledger.casebook.consent import published
from ledger.casebook.items import Item
from ledger.casebook.scores import worth_a_page
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS, Calculation
from ledger.photo.methods import REGISTER as WAYS
from ledger.publishing import (
    bodies,
    building,
    calculating,
    checks,
    crediting,
    declaring,
    editions,
    entering,
    listing,
    measuring,
    scoring,
    words,
)
from ledger.publishing.addresses import (
    BUILDING,
    CALCULATORS,
    CHECKS,
    DATA,
    EDITIONS,
    HOME,
    IMPACT,
    METHODS,
    READING,
    SCORES,
    Ways,
    page_of,
    section_of,
)
from ledger.publishing.comparing import interval
from ledger.publishing.downloads import Downloads
from ledger.publishing.live.section import section as live_section
from ledger.publishing.looking import Finder
from ledger.publishing.media import marking
from ledger.publishing.media.sounding import sounding
from ledger.publishing.questioning import face, question_page
from ledger.publishing.rendering import page
from ledger.publishing.replying.section import Replying, replying
from ledger.publishing.replying.settings import NOWHERE, Destination
from ledger.publishing.since import since
from ledger.publishing.tracer import Tracer
from ledger.publishing.turning import turning

ASSETS = "assets/witness"
Maker = Callable[[], str]


def makers(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    pictures: frozenset[str] = frozenset(),
    root: Path | None = None,
    site: str = "",
    replies: Destination = NOWHERE,
    data: Downloads | None = None,
) -> dict[str, Maker]:
    """Return by path what makes each page as Markdown, so that a preview makes only those that are looked at.

    The same casebook gives the same text.

    pictures  paths of the site's own files, from its root, that bodies may show or link to
    root      the investigation's folder, where what was measured from is looked for; `media.picturing.reprints` gives
              the pictures that pages then show
    site      the address the site will have, where it is known
    replies   where readers' replies go
    data      the files of the data, where they are made for the site as well
    """
    tracer, finder = Tracer(casebook), Finder(casebook)
    made: dict[str, Maker] = {
        HOME: partial(_home, casebook, register, tracer, pictures, root),
        READING: partial(_reading, casebook),
    }
    for kind, (_, plural, purpose) in words.KINDS.items():
        if kind != "investigation":
            here = section_of(FOLDERS[kind])
            made[here] = partial(_section, casebook, kind, plural, purpose, here)
    for item in (*casebook.entries.values(), *casebook.withdrawn.values()):
        if published(item):
            made[page_of(item.ref)] = partial(_entry, casebook, register, finder, tracer, item, pictures, root, replies)
    made[EDITIONS] = partial(editions.editions_page, casebook, site)
    made[IMPACT] = partial(tracer.sweep, IMPACT)
    if decides(casebook):
        made[BUILDING] = partial(building.sheet_page, casebook, tracer)
    if worth_a_page(casebook):
        made[SCORES] = partial(_scores, casebook)
    made[CALCULATORS] = partial(_calculators, casebook, register)
    for name, calculator in sorted(register.items()):
        made[page_of(f"calculators/{name}")] = partial(_calculator, casebook, calculator)
    made[section_of(FOLDERS["source"])] = partial(crediting.sources_page, casebook)
    made[CHECKS] = partial(checks.checks_page, casebook, register)
    made[DATA] = Downloads(casebook).page if data is None else data.page
    made[METHODS] = partial(measuring.methods_page, casebook)
    for name, method in WAYS.items():
        made[page_of(f"methods/{name}")] = partial(measuring.method_page, casebook, method)
    return made


def assets() -> dict[str, bytes]:
    """Return the site's own style sheet, script and pictures by path."""
    folder = files("ledger.publishing") / "assets"
    found = sorted((one for one in folder.iterdir() if one.is_file()), key=lambda one: one.name)
    return {f"{ASSETS}/{one.name}": one.read_bytes() for one in found}


def _home(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    tracer: Tracer,
    pictures: frozenset[str],
    root: Path | None,
) -> str:
    ways = Ways(casebook, HOME)
    item = casebook.of_kind("investigation")[0]
    questions = [
        replace(one, thumb=face(casebook, casebook.weighings[ref], ways, root)) if one.answer is not None else one
        for ref, one in listing.questions(casebook, ways)
    ]
    return page(
        "home",
        investigation=casebook.investigation,
        about=ways.to(item.ref, "More about this investigation"),
        body=bodies.render(casebook, item.body, HOME, pictures).html,
        questions=questions,
        image=next((one.thumb.src for one in questions if one.thumb), ""),
        credits=tuple(dict.fromkeys(one.thumb.credit for one in questions if one.thumb)),
        since=since(casebook, ways),
        again=editions.again(casebook),
        stale=tracer.flags(ways),
        impact=ways.page(IMPACT, "Impact of each source"),
        looks=listing.looks((*casebook.findings, *casebook.twice, *bodies.findings(casebook, pictures)), ways),
        sections=listing.sections(casebook, ways, register),
        reading=ways.page(READING, "How to read this"),
        edition=casebook.edition,
    )


def _scores(casebook: Casebook) -> str:
    return page("scores", sheet=scoring.sheet(casebook))


def _reading(casebook: Casebook) -> str:
    return page(
        "reading",
        reliability=_grades(casebook, casebook.soundness, words.RELIABILITY),
        credibility=_grades(casebook, casebook.tracking, words.CREDIBILITY),
        doubt=words.bearing(casebook.investigation.doubt),
        drawn=any(interval(one) for weighing in casebook.weighings.values() for one in weighing.standings),
        margins=words.margins(),
        ladder=words.ladder(),
        calculators=Ways(casebook, READING).page(CALCULATORS, "calculators"),
    )


def _grades(
    casebook: Casebook, chances: Mapping[str, float], meanings: Mapping[str, str]
) -> list[tuple[str, str, str, str]]:
    """Return grades, each with its meaning, the chance that is used, and the range that it is drawn within."""
    ranges = {} if casebook.ground is None else casebook.ground.grades
    return [
        (grade, meanings[grade], words.to_a_tenth(one), words.bearing(ranges[grade]) if grade in ranges else "")
        for grade, one in sorted(chances.items())
    ]


def _section(casebook: Casebook, kind: str, plural: str, purpose: str, here: str) -> str:
    ways = Ways(casebook, here)
    return page(
        "section",
        title=plural,
        purpose=purpose,
        lines=listing.lines(casebook, kind, ways),
        withdrawn=listing.withdrawn(casebook, kind, ways),
    )


def _entry(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    finder: Finder,
    tracer: Tracer,
    item: Item,
    pictures: frozenset[str],
    root: Path | None,
    replies: Destination,
) -> str:
    ways = Ways(casebook, page_of(item.ref))
    sheet = entering.sheet(casebook, item, pictures)
    replied = replying(casebook, item, ways, pictures, replies)
    weighing = casebook.weighings.get(item.ref)
    if weighing is not None and item.ref in casebook.entries:
        return question_page(casebook, register, finder, item, weighing, sheet, replied, ways, root)
    if isinstance(item.entry, Calculation):
        return _calculation(casebook, register, item, item.entry, sheet, ways, replied)
    measured = measuring.measuring(casebook, item, ways, root)
    return page(
        "entry",
        sheet=sheet,
        unweighed=item.kind == "question" and weighing is None and item.ref in casebook.entries,
        effects=entering.effects(casebook, item, ways),
        bearings=entering.bearings(item, ways),
        outcomes=entering.outcomes(item, ways),
        place=entering.place(casebook, item, ways),
        soundness=entering.soundness(casebook, item, ways),
        measuring=measured,
        sounding=sounding(item, ways, root),
        marked=_marked(casebook, item, ways, root) if measured is None or measured.shot is None else None,
        flag=tracer.flag(item, ways),
        traced=tracer.stands_on(item, ways),
        impact=tracer.impact(item, ways),
        replying=replied,
    )


def _marked(casebook: Casebook, item: Item, ways: Ways, root: Path | None) -> marking.Marked | None:
    return marking.on_source(casebook, item, ways, root) or marking.marks(casebook, item, ways, root)


def _calculation(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    item: Item,
    entry: Calculation,
    sheet: entering.Sheet,
    ways: Ways,
    replied: Replying,
) -> str:
    calculator = register.get(entry.calculator)
    result = casebook.results.get(item.ref)
    return page(
        "calculation",
        sheet=sheet,
        calculator=ways.calculator(entry.calculator, calculator.title if calculator else entry.calculator)
        if calculator
        else None,
        declared=calculator,
        name=entry.calculator,
        refused=casebook.refused.get(item.ref, ""),
        run=calculating.run(casebook, register, result, ways) if result else None,
        map=turning(result, ways) if result else None,
        live=live_section(casebook, calculator, item, ways),
        reading=ways.page(READING, "How to read this"),
        replying=replied,
    )


def _calculators(casebook: Casebook, register: Mapping[str, Calculator]) -> str:
    ways = Ways(casebook, CALCULATORS)
    lines = tuple(
        listing.Line(ways.calculator(name, one.title), bodies.line(one.purpose))
        for name, one in sorted(register.items())
    )
    return page("section", title="Calculators", purpose="The computations the ledger knows.", lines=lines, withdrawn=())


def _calculator(casebook: Casebook, calculator: Calculator) -> str:
    here = page_of(f"calculators/{calculator.name}")
    ways = Ways(casebook, here)
    used = [
        item
        for item in casebook.of_kind("calculation")
        if isinstance(item.entry, Calculation) and item.entry.calculator == calculator.name
    ]
    held = any(case.calculator == calculator.name for case in CASES)
    return page(
        "calculator",
        calculator=calculator,
        section=ways.page(CALCULATORS, "Calculators"),
        inputs=[declaring.declared(one) for one in calculator.inputs],
        outputs=[(one, declaring.unit(one)) for one in calculator.outputs],
        used=[ways.to(item.ref) for item in used],
        checks=ways.page(CHECKS, "Printed cases", checks.held_at(calculator.name) if held else ""),
        live=live_section(casebook, calculator, used[0] if used else None, ways),
    )
