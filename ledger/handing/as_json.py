"""The whole ledger as one JSON document, with its schema beside it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, cast

from pydantic import ValidationError

from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.calculators.results import Bound, Outcome, Result
from ledger.casebook.items import Finding as Found
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement
from ledger.errors import WitnessError
from ledger.handing import schema
from ledger.handing.document import (
    Account,
    Asked,
    Doubt,
    Edition,
    Figure,
    Finding,
    Input,
    Kept,
    Ledger,
    Limit,
    Line,
    Measured,
    Order,
    Output,
    Refused,
    Rival,
    Weight,
    Worked,
)
from ledger.handing.leaving import Leaving, leaving
from ledger.handing.rounding import rounded
from ledger.quantities.summary import Summary
from ledger.weighing.values import Weighing

NAME = "ledger.json"
ABOUT = (
    "A ledger of evidence and rival hypotheses about a mechanism. Confidences, weights and results are for "
    "understanding and for working models; they never rate a part that carries people. Replies without their writer's "
    "consent, erased words and pictures are not in it."
)


def files(casebook: Casebook, register: Mapping[str, Calculator] = REGISTER) -> dict[str, bytes]:
    """Return the document and its schema. The same casebook gives the same bytes."""
    return {NAME: encoded(document(casebook, register)), schema.NAME: _schema()}


@cache
def _schema() -> bytes:
    return encoded(schema.schema())


def encoded(data: Any) -> bytes:
    """Return plain data as JSON, UTF-8. Raises ValueError for a number that is none."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1).encode() + b"\n"


def document(casebook: Casebook, register: Mapping[str, Calculator] = REGISTER) -> dict[str, Any]:
    """Return the whole ledger as plain data, as the schema has it.

    Raises WitnessError for a computed number that is none, or no chance where a chance belongs.
    """
    out = leaving(casebook)
    try:
        made = _ledger(casebook, out, register)
    except ValidationError as error:
        raise _refusal(error) from error
    told: dict[str, Any] = out.data(rounded(made.model_dump(by_alias=True, exclude_none=True)))
    return told


def _refusal(error: ValidationError) -> WitnessError:
    wrong = error.errors(include_url=False)[0]
    place = ".".join(map(str, wrong["loc"]))
    return WitnessError(
        f"{NAME}: {error.title} {place}: given {wrong['input']!r}; expected: {wrong['msg']}. `witness check` says "
        "which result is not what its inputs give."
    )


def _ledger(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Ledger:
    return Ledger(
        schema_=schema.NAME,
        about=ABOUT,
        edition=Edition(number=casebook.edition.number or None, fingerprint=casebook.edition.fingerprint),
        investigation=casebook.of_kind("investigation")[0].ref,
        cautions=list(casebook.investigation.cautions),
        entries=[_kept(casebook, out, item) for item in out.entries.values()],
        withdrawn=[_kept(casebook, out, item) for item in out.withdrawn.values()],
        calculations=[_worked(result, register) for result in casebook.results.values()],
        refused=[Refused(ref=ref, reason=reason) for ref, reason in sorted(casebook.refused.items())],
        questions=[_asked(casebook, ref, weighing) for ref, weighing in casebook.weighings.items()],
        soundness=dict(casebook.soundness),
        tracking=dict(casebook.tracking),
        findings=_findings(casebook.findings),
        counted_twice=_findings(casebook.twice),
    )


def _kept(casebook: Casebook, out: Leaving, item: Item) -> Kept:
    return Kept(
        ref=item.ref,
        kind=item.kind,
        revisions=item.revisions,
        front=cast(Any, item.entry),
        body=item.body,
        measured=_measured(item.entry) if isinstance(item.entry, Measurement) else None,
        used_by=[ref for ref in casebook.used_by.get(item.ref, ()) if out.shows(ref)],
    )


def _measured(entry: Measurement) -> Measured:
    quantity = entry.quantity
    return Measured(
        shape=quantity.shape,
        unit=quantity.unit,
        mean=quantity.mean,
        deviation=quantity.std,
        nominal=quantity.nominal,
    )


def _figure(summary: Summary | None) -> Figure | None:
    if summary is None:
        return None
    return Figure(estimate=summary.estimate, uncertainty=summary.uncertainty, low_95=summary.low, high_95=summary.high)


def _worked(result: Result, register: Mapping[str, Calculator]) -> Worked:
    calculator = register.get(result.calculator)
    return Worked(
        ref=result.ref,
        calculator=result.calculator,
        inputs=[_input(bound) for bound in result.inputs],
        outputs=[_output(outcome) for outcome in result.outcomes],
        criteria=[Limit(output=kept.output, limit=kept.limit, chance=kept.chance) for kept in result.kept],
        choice=dict(result.choice),
        choice_above={ref: dict(choice) for ref, choice in result.above.items()} or None,
        doubts=[
            Doubt(output=one.output, root=one.root, share=one.share, uncertainty=one.uncertainty, chance=one.chance)
            for one in result.shares
        ],
        cautions=list(calculator.cautions) if calculator is not None else [],
    )


def _input(bound: Bound) -> Input:
    return Input(
        name=bound.name,
        label=bound.label,
        unit=bound.unit,
        ground=cast(Any, bound.ground),
        ref=bound.ref,
        output=bound.output,
        stated=bound.stated,
        reason=bound.reason,
        figure=_figure(bound.summary),
        rows=[dict(row) for row in bound.rows] if bound.rows else None,
    )


def _output(outcome: Outcome) -> Output:
    value = outcome.value
    return Output(
        name=outcome.name,
        label=outcome.label,
        unit=outcome.unit,
        form=outcome.form,
        figure=_figure(outcome.summary),
        chance=outcome.chance,
        value=value if value is None or isinstance(value, str) else [_row(row) for row in value],
        share=outcome.share,
    )


def _row(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _figure(cell) if isinstance(cell, Summary) else cell for name, cell in row.items()}


def _asked(casebook: Casebook, ref: str, weighing: Weighing) -> Asked:
    account = weighing.account
    return Asked(
        ref=ref,
        leader=weighing.leader,
        rivals=[
            Rival(
                rival=one.rival,
                prior=one.prior,
                linked_prior=one.linked_prior,
                confidence=one.confidence,
                low_90=one.low,
                median=one.median,
                high_90=one.high,
                first=one.first,
                judged=one.judged,
                notes=one.notes,
                tested=one.tested,
                may_lead=one.may_lead,
                feasibility=casebook.feasibility.get(one.rival),
            )
            for one in weighing.standings
        ],
        account=Account(
            leader=account.leader,
            runner_up=account.runner_up,
            total=account.total,
            lines=[Line(part=line.part, ref=line.ref, decibans=line.decibans) for line in account.lines],
        ),
        weights=_weights(weighing.weights, weighing),
        through_links=_weights(weighing.through, weighing),
        soundness=dict(weighing.soundness),
        linked=list(weighing.linked),
        orders=[Order(first=one.first, second=one.second, chance=one.chance) for one in weighing.orders],
    )


def _weights(weights: Mapping[str, Mapping[str, float]], weighing: Weighing) -> list[Weight]:
    return [
        Weight(of=ref, decibans=dict(row), infinite=list(weighing.infinite.get(ref, ())))
        for ref, row in weights.items()
    ]


def _findings(found: Iterable[Found]) -> list[Finding]:
    return [Finding(about=list(one.about), message=one.message) for one in found]
