"""What a model refuses, said in plain words: where it stands, what was given, what was expected, how to mend it."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from ledger.entries import together
from ledger.entries.models import Entry
from ledger.entries.parts import Absence, Criterion, Fixed, Given, Mark, Observed, Part, Picked, Quote, Resolution
from ledger.entries.scalars import plainly
from ledger.errors import Fault, nearest
from ledger.quantities.notation import NotationError
from ledger.quantities.quantity import plain

# A line a person can copy, for each field; with its owner where the same word means something else.
EXAMPLES = {
    "kind": "kind: evidence",
    "title": "title: A groove runs round the sleeve",
    "by": "by: [A. Name]",
    "subject": "subject: the gearbox in the glass case",
    "medium": "medium: photograph",
    "author": "author: A. Name",
    "date": "date: 2031-05-17",
    "rights": "rights: by leave of the author",
    "reliability": "reliability: B",
    "standing": "standing: patent-only",
    "from": "from: 1931",
    "traits": "traits: [one fork shaft]",
    "source": "source: bench-left",
    "credibility": "credibility: 2",
    "quantity": "quantity: 62 ± 3 mm",
    "method": "method: scaled from a bolt head of known size",
    "question": "question: what-moves-the-forks",
    "prior": "prior: 0.3",
    "calculator": "calculator: drum-track",
    "inputs": "inputs: {travel: measurements/fork-travel}",
    "choice": "choice: a drum with one track",
    "grounds": "grounds: [evidence/sleeve-groove]",
    "taken": "taken: 2031-05-17",
    "outcomes": "outcomes: {groove: {drum: 0.9, others: 0.2}, no-groove: {drum: 0.1, others: 0.8}}",
    "about": "about: hypotheses/drum",
    "stance": "stance: doubt",
    "consent": "consent: true",
    "label": "label: groove",
    "would-show": "would-show: 0.3",
    "output": "output: radius",
    "measurement": "measurement: hub-width",
    "answer": "answer: drum",
    "reason": "reason: the casing was opened",
    "of": "of: measurements/hub-width",
    "said": "said: 62 ± 3 mm",
    "points": "points: {bar: [[812, 440], [1010, 655]], part: [[300, 200], [512, 204]]}",
    "withdrawn": "withdrawn: the label turned out to belong to another gearbox",
    "formerly": "formerly: groove-in-sleeve",
    "invented": "invented: true",
    "licence": "licence: CC BY 4.0",
    "cautions": "cautions: [Nothing here is fit for a vehicle]",
    "investigation.reliability": "reliability: {B: 0.7..0.9}",
    "investigation.credibility": "credibility: {2: 0.7..0.9}",
    "doubt": "doubt: 0.05",
    "picked.doubt": "doubt: 1.5",
    "publishable": "publishable: true",
    "origin": "origin: first-telling",
    "file": "file: site/pages/photographs/bench-left.jpg",
    "locator": "locator: page 12",
    "to": "to: 1938",
    "example-of": "example-of: [drum]",
    "marks": "marks: [{label: groove, box: [812, 440, 1010, 655]}]",
    "box": "box: [812, 440, 1010, 655]",
    "polygon": "polygon: [[812, 440], [1010, 440], [900, 655]]",
    "line": "line: [[812, 440], [1010, 655]]",
    "point": "point: [812, 440]",
    "span": "span: [1.5, 2.25]",
    "page": "page: 12",
    "clause": 'clause: "4.2"',
    "bearing": "bearing: {drum: 0.9, face-cam: very likely, others: 0.2..0.6}",
    "evidence.measurements": "measurements: [hub-width]",
    "uncounted": "uncounted: counted already in measurements/hub-width",
    "picked": "picked: {by: scale-bar, points: {bar: [[812, 440], [1010, 655]], part: [[300, 200], [512, 204]]}}",
    "picked.by": "by: scale-bar",
    "known": "known: {bar: 50 ± 0.5 mm}",
    "lens": "lens: {bend: 0 ± 0.015}",
    "size": "size: [1600, 1200]",
    "combines": "combines: [hub-width-left, hub-width-right]",
    "none-of-these": "none-of-these: 0.1",
    "resolved": "resolved: {answer: drum, date: 2031-05-17, reason: the casing was opened}",
    "precedents": "precedents: [drum-of-1931]",
    "hypothesis.reason": "reason: most boxes of this size have one",
    "predicts": "predicts: {hub-width: 40..70 mm}",
    "needs": "needs: [one-fork-shaft]",
    "rules-out": "rules-out: [two-fork-shafts]",
    "favours": "favours: {one-fork-shaft: 2..4}",
    "hypotheses": "hypotheses: [drum]",
    "value": "value: 62 ± 3 mm",
    "chosen": "chosen: 20..40 mm",
    "calculation": "calculation: drum-size",
    "rows": "rows: [{part: first gear, length: measurements/hub-width}, {part: washer, length: 2 mm}]",
    "inputs.reason": "reason: from the notebook",
    "criteria": "criteria: [{output: radius, at-most: 40..45 mm}]",
    "at-least": "at-least: calculations/drum-size#radius",
    "at-most": "at-most: measurements/hub-width",
    "holds": "holds: true",
    "observed": "observed: {output: length, measurement: hub-width}",
    "retaken": "retaken: the hub was measured anew",
    "fixes": "fixes: {crank-arm: 60 mm, hub-width: measurements/hub-width}",
    "quotes": "quotes: [{of: measurements/hub-width, said: 62 ± 3 mm}]",
    "least-confidence": "least-confidence: {drum: 0.6}",
    "cost": "cost: a day's journey",
    "effort": "effort: 2..4 h",
    "name": "name: A. Reader",
    "confidences": "confidences: {drum: 0.7, none-of-these: 0.3}",
    "reply.inputs": "inputs: {drum-size: {travel: 12 mm}}",
    "reply.answer": "answer: Thank you; the groove is measured anew",
}
_PARTS: dict[str, type[Part]] = {
    "marks": Mark,
    "bearing": Absence,
    "outcomes": Absence,
    "inputs": Given,
    "criteria": Criterion,
    "observed": Observed,
    "resolved": Resolution,
    "picked": Picked,
    "fixes": Fixed,
    "quotes": Quote,
}
# A rule over a whole entry is shown at the field a person would mend.
_WHOLE = {"hypothesis": "prior"}
_COUNTS = {
    "box": "four numbers",
    "polygon": "points of two numbers",
    "line": "two points",
    "point": "two numbers",
    "span": "two numbers",
    "points": "points of two numbers",
    "size": "two numbers",
}
_LIMITS = {
    "greater_than": ("gt", "a number above {}"),
    "greater_than_equal": ("ge", "a number of at least {}"),
    "less_than": ("lt", "a number below {}"),
    "less_than_equal": ("le", "a number of at most {}"),
}
Words = tuple[str, str, str]
Rule = Callable[[Collection[str]], NotationError | None]
_NUMBER_AND_MORE = re.compile(r"\s*(-?[0-9]+(?:\.[0-9]+)?)\s*(%?)\s*")


def explain(
    error: ValidationError, model: type[Entry], front: Mapping[str, Any], file: str, line_of: Callable[[str], int]
) -> list[Fault]:
    """Return one fault for each place the model refuses. `line_of` gives the line of a dotted path."""
    places: dict[str, list[dict[str, Any]]] = {}
    for one in map(dict[str, Any], error.errors(include_url=False)):
        places.setdefault(_place(one, front), []).append(one)
    kind = str(front.get("kind", ""))
    mistaken = {
        path: nearest_field(path, model) for path, ones in places.items() if ones[0]["type"] == "extra_forbidden"
    }
    faults = []
    for path, ones in places.items():
        if ones[0]["type"] == "missing" and path in mistaken.values():
            # The field is there, misspelt; the fault about the misspelling says it all.
            continue
        given, expected, remedy = _together(ones, path, model, kind, mistaken.get(path))
        shown = path or _WHOLE.get(kind, "")
        faults.append(Fault(file, line_of(shown), shown, plainly(given), expected, remedy))
    for path, fields, rule in _parts(front, kind):
        inside = [each for each in places if not path or each.startswith(path + ".")]
        if not inside or path in places or (not path and "prior" in places):
            continue
        # The model asks this last, and not at all once a field has a fault; a person wants it told with the rest.
        misspelt = {bad.rpartition(".")[2]: near and near.rpartition(".")[2] for bad, near in mistaken.items()}
        unknown = [misspelt[bad.rpartition(".")[2]] for bad in inside if bad in mistaken]
        wrong = None if None in unknown else rule({misspelt.get(key) or key for key in fields})
        if wrong is not None:
            shown = path or "prior"
            faults.append(Fault(file, line_of(shown), shown, wrong.given, wrong.expected, wrong.remedy))
    return faults


def _parts(front: Mapping[str, Any], kind: str) -> Iterator[tuple[str, Mapping[str, Any], Rule]]:
    """Yield path, fields and rule of whatever has a rule over several of its fields."""
    if kind == "hypothesis":
        yield "", front, together.prior
    for key, rule in (("marks", together.place), ("criteria", together.limit)):
        items = front.get(key)
        for number, item in enumerate(items if isinstance(items, list) else (), 1):
            if isinstance(item, dict):
                yield f"{key}.{number}", item, rule
    for owner, key, rule in (("calculation", "inputs", together.ground), ("decision", "fixes", together.settled)):
        named = front.get(key)
        for name, given in named.items() if isinstance(named, dict) and kind == owner else ():
            if isinstance(given, dict):
                yield f"{key}.{name}", given, rule


def _place(one: dict[str, Any], front: Mapping[str, Any]) -> str:
    """Return the dotted path of an error, without the names of the branches that were tried."""
    path = [str(step + 1) if isinstance(step, int) else step for step in trail(one["loc"], front)]
    if one["type"] == "missing" and isinstance(one["loc"][-1], str):
        path.append(one["loc"][-1])
    return ".".join(path)


def trail(location: Iterable[str | int], front: Mapping[str, Any]) -> tuple[str | int, ...]:
    """Return the keys and positions in the data that lead to an error, as far as they are there."""
    data: Any = front
    path: list[str | int] = []
    for step in location:
        there = step < len(data) if isinstance(data, list) and isinstance(step, int) else False
        if there or (isinstance(data, dict) and step in data):
            data = data[step]
            path.append(step)
    return tuple(path)


def _together(ones: list[dict[str, Any]], path: str, model: type[Entry], kind: str, near: str | None) -> Words:
    """Return the words for all that was refused at one place; a union refuses once for each of its branches."""
    for one in ones:
        cause = one.get("ctx", {}).get("error")
        if isinstance(cause, NotationError):
            return cause.given, cause.expected, cause.remedy
    words = [_words(one, path, model, kind, near) for one in ones]
    expected = dict.fromkeys(said[1] for said in words)
    return words[0][0], " or ".join(expected), words[0][2] if len(expected) == 1 else "Write one of these."


def _words(one: dict[str, Any], path: str, model: type[Entry], kind: str, near: str | None) -> Words:
    type_, value, context = one["type"], one["input"], one.get("ctx", {})
    key = path.rpartition(".")[2]
    if type_ == "missing":
        if isinstance(one["loc"][-1], int):
            return plainly(value), _counted(path), "Give all of them, in pixels or seconds."
        example = example_of(path.partition(".")[0] if "." in path else kind, key)
        top, dot, _ = path.partition(".")
        owner = f"`{top}`" if dot and top == "picked" else f"every item of `{top}`" if dot else f"every {kind} entry"
        picked = path == "quantity" and isinstance(value, dict) and "picked" in value
        written = ", or have the picks give it: `witness measure NAME --write`" if picked else ""
        return "nothing", f"`{key}`, which {owner} has", f"Add a line such as `{example}`{written}."
    if type_ == "extra_forbidden":
        known = _fields(path, model)
        if near:
            return f"the unknown field `{key}`", f"`{near.rpartition('.')[2]}`", f"Write `{near.rpartition('.')[2]}`."
        return f"the unknown field `{key}`", f"one of {', '.join(known)}", "Take it out, or say it in the text below."
    if type_ == "literal_error":
        allowed = [part.strip(" '") for part in str(context["expected"]).replace(" or ", ", ").split(",")]
        folded = {word.lower(): word for word in allowed}
        close = [folded[word] for word in nearest(str(value).lower(), folded, 1)]
        return (
            plainly(value),
            f"one of {', '.join(allowed)}",
            f"Write `{close[0]}`." if close else "Choose one of them.",
        )
    if type_ in _LIMITS:
        bound, text = _LIMITS[type_]
        share = bound in ("lt", "le") and context[bound] == 1 and 1 < value <= 100
        remedy = f"Write `{plain(value / 100)}` for {plain(value)} %." if share else "Change the number."
        return plainly(value), text.format(f"{context[bound]:g}"), remedy
    if type_ in ("too_short", "too_long"):
        if (key in _COUNTS and key != "polygon") or path.split(".")[-2:-1] == ["polygon"]:
            return plainly(value), _counted(path), "Give just so many."
        bound, side = ("min_length", "at least") if type_ == "too_short" else ("max_length", "at most")
        return (
            plainly(value),
            f"{side} {context[bound]} of them",
            "Add what is missing." if bound == "min_length" else "Shorten the list.",
        )
    return (plainly(value), *_typed(type_, value, key))


def example_of(owner: str, key: str) -> str:
    """Return a line for a field of a kind of entry, or of a field that has fields of its own."""
    return EXAMPLES.get(f"{owner}.{key}", EXAMPLES.get(key, f"{key}: …"))


def _counted(path: str) -> str:
    return next((_COUNTS[step] for step in reversed(path.split(".")) if step in _COUNTS), "more items")


def _typed(type_: str, value: Any, key: str) -> tuple[str, str]:
    simple = not isinstance(value, dict | list)
    if type_ == "string_type":
        return "text", f'Put it in quotes: "{plainly(value)}".' if simple else "Write one text."
    if type_ in ("float_type", "int_type", "finite_number", "int_from_float"):
        found = _NUMBER_AND_MORE.fullmatch(value) if isinstance(value, str) and type_ == "float_type" else None
        if found:
            number = plain(float(found[1]) / 100 if found[2] else float(found[1]))
            return "a number", f"Write `{number}`" + (f" for {found[1]} %." if found[2] else ", without quotes.")
        return "a whole number" if "int" in type_ else "a number", "Write digits and a point, without quotes or unit."
    if type_ == "bool_type":
        return "true or false", "Write `true` or `false`, without quotes."
    if type_ == "list_type":
        return (
            "a list",
            f"Write it as a list: [{plainly(value)}]." if simple else "Write a line with `- ` for each item.",
        )
    if type_ == "tuple_type":
        return "a list of numbers", "Write numbers in brackets: [812, 440]."
    if type_ in ("dict_type", "model_type", "model_attributes_type"):
        return "fields of its own", "Write `name: value` lines, indented below it."
    return f"a value that fits `{key}`", f"Write it like `{EXAMPLES.get(key, key + ': …')}`."


def _fields(path: str, model: type[Entry]) -> list[str]:
    return list(field_names(model if "." not in path else _PARTS.get(path.partition(".")[0], model)))


def field_names(model: type[Part]) -> dict[str, FieldInfo]:
    """Return the fields of a model by their keys."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def nearest_field(path: str, model: type[Entry]) -> str | None:
    """Return the path with the known key that its last key was perhaps meant to be."""
    parent, dot, key = path.rpartition(".")
    close = get_close_matches(key.replace("_", "-").lower(), _fields(path, model), 1, 0.7)
    return f"{parent}{dot}{close[0]}" if close else None
