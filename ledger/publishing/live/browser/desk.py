"""The worker's end: one calculator, asked in JSON."""

from __future__ import annotations

from ledger.calculators.contract import Calculator
from ledger.publishing.live.browser.answering import Desk
from ledger.publishing.live.browser.talking import dumps

_desks = {}


def open_desk(module, name, units, factors):
    """Make the calculator of that name, declared in a module, ready to be asked."""
    found = [one for one in vars(module).values() if isinstance(one, Calculator) and one.name == name]
    _desks[name] = Desk(found[0], units, factors)


def answer(name, operation, asked):
    """Return the answer as JSON."""
    desk = _desks[name]
    answers = {"compute": desk.compute, "draw": desk.draw, "sum_up": desk.sum_up, "more": desk.more}
    return dumps(answers[operation](asked))
