"""Hypothesis strategies for entries, shared by tests.

fronts(kind)  front matter that the kind's model accepts, drawn from the model's own fields, with awkward text in it
bodies()      Markdown below the front matter, any line ends
ledgers()     {(folder, name): (front, body)} of a small ledger that passes `check_ledger` without a fault
"""

from __future__ import annotations

import types
import typing
from typing import Any

from hypothesis import strategies as st
from pydantic import AfterValidator

from ledger.entries import fields, models, parts

SURPRISES = (
    "no",
    "Yes",
    "off",
    "010",
    "0x1F",
    "1:30",
    "5e-3",
    "1_000",
    ".5",
    "5.",
    ".inf",
    "~",
    "null",
    "+5",
    "=",
    "<<",
    "true",
    "2031-05-17",
    "12",
    "-0",
    "0.25",
)
AWKWARD = SURPRISES + (
    "a: b",
    "a:",
    "# not a comment",
    "a #b",
    " leads",
    "trails ",
    "it's",
    '"said"',
    "back\\slash",
    "- item",
    "-5 mm",
    "? x",
    "*star",
    "&and",
    "!bang",
    "%",
    "@",
    "`tick`",
    "{",
    "]",
    "a, b",
    "|",
    ">",
    "---",
    "...",
    "a\n---\nb",
    "two\nlines",
    "two\nlines\n",
    "\nlater",
    "a\n  deeper\n",
    "a\n \nb",
    "cr\r\nlf",
    "\ttab",
    "nbsp\u00a0",
    "\u2028",
    "\x85",
    "\ufeffmark",
    "\x07",
    "größe ± 3 µm",
    "日本",
    "\U0001f529",
    "e\u0301",
)

OBEYED = (
    "=1+1",
    '=HYPERLINK("http://a.example";"x")',
    "@SUM(A1)",
    "\t=1",
    "\r\n-1",
    "'=1",
    "\\input{x}",
    "}}\n@misc{other,",
    "@comment{",
    "100 % of $x_1$ & more #5",
    "Doe, J. and others",
    "a -- b --- ``c''",
    '"},{"ref": "x',
    "</script><b>x</b>",
    "ledger:x prov:y _:z",
    "NaN",
    "null",
)


def texts() -> st.SearchStrategy[str]:
    """Any text, awkward ones often."""
    return st.one_of(st.sampled_from(AWKWARD), st.text(max_size=20), st.sampled_from(("A groove", "seen twice")))


def prose() -> st.SearchStrategy[str]:
    """Text with at least one visible sign."""
    return texts().map(lambda text: text if text.strip() else text + "x")


def hostile() -> st.SearchStrategy[str]:
    """Words that some reader of some form would obey: spreadsheets, TeX, BibTeX, JSON, markup."""
    signs = st.text("=+-@'\"\\{}$%&#_^~<>|`,;:!?()[]/ab1 \t\r\n\u00a0\u2028\ufeff＝é日", min_size=1, max_size=12)
    return st.one_of(st.sampled_from(OBEYED), signs, prose()).map(lambda text: text if text.strip() else text + "x")


def bodies() -> st.SearchStrategy[str]:
    """Markdown of any kind, with its line ends."""
    parts = st.sampled_from(
        ("The groove is bright.\n", "\n", "\r\n", "---\n", "# Head\r\n", "no end", "  two\t\n", "\ufeff")
    )
    return st.lists(st.one_of(parts, texts()), max_size=4).map("".join)


def names() -> st.SearchStrategy[str]:
    """Valid names of entries, some of which YAML would take for something else."""
    word = st.text("abcdeghkmt0123456789", min_size=1, max_size=6)
    made = st.lists(word, min_size=1, max_size=3).map("-".join)
    return st.one_of(made, st.sampled_from(("no", "010", "12", "5e-3", "on", "null", "1e5", "sleeve-groove")))


def references(folder: str) -> st.SearchStrategy[str]:
    """References to entries of a folder, short or in full."""
    return st.one_of(names(), names().map(lambda name: f"{folder}/{name}"))


def answers() -> st.SearchStrategy[str]:
    """Rivals of a question, short or in full, and none of them."""
    return st.one_of(references("hypotheses"), st.just(fields.NONE_OF_THESE))


def dates() -> st.SearchStrategy[str | int]:
    """Years, months and days."""
    return st.one_of(st.integers(1800, 2100), st.sampled_from(("2031", "2031-05", "2031-05-17", "1911-12-31")))


def coordinates() -> st.SearchStrategy[float]:
    """Pixels or seconds, whole or not."""
    return st.one_of(st.integers(-50, 5000), st.floats(-1e6, 1e6))


def quantities(unit: str = "mm") -> st.SearchStrategy[str | int | float]:
    """Quantities in every notation, all of the one unit."""
    lengths = st.tuples(st.integers(1, 900), st.integers(1, 90), st.integers(1, 90))
    tail = f" {unit}" if unit else ""

    def say(drawn: tuple[int, int, int]) -> st.SearchStrategy[str | int | float]:
        first, second, third = drawn
        low, mode, high = first, first + second, first + second + third
        texts = (
            f"{first} ± {second}{tail}",
            f"{first} ± {second}{tail} (k=1)",
            f"{low}..{high}{tail}",
            f"{low}..{mode}..{high}{tail}",
            f"{first}.5{tail}" if unit else f"{first} ± 0.5",
            f"{first} +0/-0.05{tail}",
        )
        return st.sampled_from(texts + (() if unit else (first, first + 0.5, f"{low}: 0.2, {mode}: 0.7, {high}: 0.1")))

    return lengths.flatmap(say)


def chances() -> st.SearchStrategy[str | float]:
    """Chances as numbers, ranges and words."""
    return st.one_of(
        st.integers(1, 99).map(lambda hundredths: hundredths / 100),
        st.tuples(st.integers(1, 40), st.integers(41, 99)).map(lambda ends: f"{ends[0] / 100}..{ends[1] / 100}"),
        st.sampled_from(("very likely", "likely", "unlikely", "very unlikely")),
    )


def factors() -> st.SearchStrategy[str | float]:
    """Factors on a pair of hypotheses, as numbers and ranges."""
    return st.one_of(
        st.integers(1, 50).map(lambda tenths: tenths / 10),
        st.tuples(st.integers(1, 9), st.integers(11, 40)).map(lambda ends: f"{ends[0] / 10}..{ends[1] / 10}"),
    )


def bearings() -> st.SearchStrategy[Any]:
    """How probable a note is under a rival, or how surely something absent would have shown."""
    return st.one_of(chances(), chances().map(lambda chance: {"would-show": chance}))


def _pairs(count: int) -> st.SearchStrategy[list[Any]]:
    return st.lists(coordinates(), min_size=count, max_size=count)


_ENDS = st.lists(_pairs(2), min_size=2, max_size=2)
_PLACES: dict[str, st.SearchStrategy[Any]] = {
    "box": _pairs(4),
    "polygon": st.lists(_pairs(2), min_size=3, max_size=5),
    "line": _ENDS,
    "point": _pairs(2),
    "span": _pairs(2),
    "page": st.one_of(st.integers(0, 900), texts()),
    "clause": texts(),
}


def marks() -> st.SearchStrategy[dict[str, Any]]:
    """Marks with one place each; page and clause may stand together."""
    one = st.sampled_from(sorted(_PLACES)).flatmap(
        lambda place: st.fixed_dictionaries({"label": prose(), place: _PLACES[place]})
    )
    both = st.fixed_dictionaries({"label": prose(), "page": _PLACES["page"], "clause": texts()})
    return st.one_of(one, both)


def picked() -> st.SearchStrategy[dict[str, Any]]:
    """Picks of a measurement: points by role, and quantities, words and lists of both that are known beside them."""
    one = st.one_of(quantities(), quantities(""), st.sampled_from(("left", "from-one-end", "unknown", "none")))
    known = st.dictionaries(names(), st.one_of(one, st.lists(one, min_size=1, max_size=3)), max_size=3)
    lens = st.one_of(
        st.sampled_from(("none", "unknown")), st.dictionaries(names(), quantities(""), min_size=1, max_size=3)
    )
    points = st.dictionaries(names(), st.lists(_pairs(2), min_size=1, max_size=4), min_size=1, max_size=3)
    doubt = st.one_of(st.integers(1, 9), st.floats(0.1, 9))
    return st.fixed_dictionaries(
        {"by": names(), "points": points},
        optional={"file": prose(), "doubt": doubt, "known": known, "lens": lens, "size": _pairs(2)},
    )


def _cells() -> st.SearchStrategy[Any]:
    return st.one_of(
        texts(), st.integers(-(10**9), 10**9), st.floats(allow_nan=False, allow_infinity=False), st.booleans()
    )


def givens() -> st.SearchStrategy[Any]:
    """Inputs of a calculation, bound once, in short and long forms."""
    row = st.dictionaries(texts().filter(lambda key: len(key) <= 60), _cells(), max_size=3)
    return st.one_of(
        names().map(lambda name: f"measurements/{name}"),
        st.tuples(names(), names()).map(lambda pair: f"calculations/{pair[0]}#{pair[1]}"),
        st.fixed_dictionaries({"value": _cells(), "reason": prose()}),
        st.fixed_dictionaries({"chosen": quantities(), "reason": prose()}),
        st.fixed_dictionaries({"measurement": references("measurements")}, optional={"reason": prose()}),
        st.fixed_dictionaries({"calculation": references("calculations"), "output": texts()}),
        st.fixed_dictionaries({"rows": st.lists(row, max_size=3), "reason": prose()}),
    )


def settled() -> st.SearchStrategy[Any]:
    """What a parameter of the model is, in short and long forms."""
    row = st.dictionaries(texts().filter(lambda key: len(key) <= 60), _cells(), max_size=3)
    return st.one_of(
        _cells(),
        st.lists(row, max_size=3),
        names().map(lambda name: f"measurements/{name}"),
        st.fixed_dictionaries({"calculation": references("calculations"), "output": texts()}),
        st.fixed_dictionaries(
            {"value": st.just("54 mm"), "grounds": st.lists(names().map(lambda name: f"sources/{name}"), max_size=2)}
        ),
    )


def quotes() -> st.SearchStrategy[dict[str, Any]]:
    """Numbers as a decision was taken on them."""
    of = st.one_of(
        names().map(lambda name: f"measurements/{name}"),
        st.tuples(names(), names()).map(lambda pair: f"calculations/{pair[0]}#{pair[1]}"),
    )
    return st.fixed_dictionaries({"of": of, "said": quantities()})


def criteria() -> st.SearchStrategy[dict[str, Any]]:
    """Limits, bands and truths that an output must keep."""
    return st.one_of(
        st.fixed_dictionaries({"output": texts(), "at-least": quantities()}, optional={"at-most": quantities()}),
        st.fixed_dictionaries({"output": texts(), "at-most": quantities()}),
        st.fixed_dictionaries({"output": texts(), "holds": st.booleans()}),
    )


def _of_fields() -> dict[Any, st.SearchStrategy[Any]]:
    return {
        fields.Prose: prose(),
        fields.Name: names(),
        fields.Date: dates(),
        fields.AnyReference: st.sampled_from(sorted(models.KINDS)).flatmap(
            lambda folder: names().map(lambda name: f"{folder}/{name}")
        ),
        fields.SourceName: references("sources"),
        fields.PrecedentName: references("precedents"),
        fields.MeasurementName: references("measurements"),
        fields.QuestionName: references("questions"),
        fields.HypothesisName: references("hypotheses"),
        fields.CalculationName: references("calculations"),
        fields.QuantityField: quantities(),
        fields.ChanceField: chances(),
        fields.OpenChanceField: chances(),
        fields.FactorField: factors(),
        fields.Credibility: st.one_of(st.integers(1, 6), st.integers(1, 6).map(str)),
        models.Bearings: st.dictionaries(st.one_of(names(), st.just("others")), bearings(), max_size=4),
        models.ChangedInputs: st.dictionaries(
            names(), st.dictionaries(texts().filter(lambda key: len(key) <= 60), prose(), max_size=3), max_size=3
        ),
        parts.Mark: marks(),
        models.Picked: picked(),
        parts.Quote: quotes(),
        models.Criterion: criteria(),
        typing.Annotated[str, AfterValidator(fields.answer)]: answers(),
        float: st.integers(1, 99).map(lambda hundredths: hundredths / 100),
        str: texts(),
        bool: st.booleans(),
    }


def of_annotation(annotation: Any) -> st.SearchStrategy[Any]:
    """Plain data that a model's field of that annotation accepts."""
    known = _of_fields()
    if annotation in known:
        return known[annotation]
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        bound = {parts.Given: givens, parts.Fixed: settled}.get(arguments[0])
        return bound() if bound else of_annotation(arguments[0])
    if origin is typing.Literal:
        return st.sampled_from(arguments)
    if origin in (typing.Union, types.UnionType):
        return st.one_of(*(of_annotation(argument) for argument in arguments if argument is not type(None)))
    if origin is list:
        return st.lists(of_annotation(arguments[0]), min_size=1, max_size=3)
    if origin is dict:
        keys = of_annotation(arguments[0]).map(str).filter(lambda key: len(key) <= 60)
        return st.dictionaries(keys, of_annotation(arguments[1]), min_size=2, max_size=3)
    if isinstance(annotation, type) and issubclass(annotation, parts.Part):
        return of_model(annotation)
    raise TypeError(f"no strategy for {annotation!r}")


def of_model(model: type[parts.Part]) -> st.SearchStrategy[dict[str, Any]]:
    """Front matter for every field of a model, the optional ones now and then."""
    hints = typing.get_type_hints(model, include_extras=True)
    required, optional = {}, {}
    for name, field in model.model_fields.items():
        key = field.alias or name
        (required if field.is_required() else optional)[key] = of_annotation(hints[name])
    return st.fixed_dictionaries(required, optional=optional)


def _with_ground(front: dict[str, Any]) -> dict[str, Any]:
    return front if "precedents" in front or "reason" in front else {**front, "reason": "Nothing else is known."}


def _once_named(front: dict[str, Any]) -> dict[str, Any]:
    """Keep, of keys that name the same entry short and in full, the full one."""
    kept = {
        field: {key: value for key, value in front[field].items() if f"{folder}/{key}" not in front[field]}
        for field, folder in (
            ("predicts", "measurements"),
            ("favours", "hypotheses"),
            ("confidences", "hypotheses"),
            ("least-confidence", "hypotheses"),
        )
        if field in front
    }
    return {**front, **kept}


def fronts(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    """Front matter that the kind's model accepts."""
    made = of_model(models.MODELS[kind])
    return made.map(_with_ground).map(_once_named) if kind == "hypothesis" else made.map(_once_named)


def documents() -> st.SearchStrategy[tuple[str, str, dict[str, Any], str]]:
    """A folder, a name, front matter and a body of any kind."""
    return st.sampled_from(sorted(models.FOLDERS)).flatmap(
        lambda kind: st.tuples(st.just(models.FOLDERS[kind]), names(), fronts(kind), bodies())
    )


Ledger = dict[tuple[str, str], tuple[dict[str, Any], str]]


class _Maker:
    """Draws one coherent ledger; entries refer only to entries made before them, so there are no cycles."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.ledger: Ledger = {}

    def add(self, kind: str, name: str, **front: Any) -> str:
        """Add an entry, with a drawn title and body; return its name."""
        front = {key.rstrip("_").replace("_", "-"): value for key, value in front.items() if value is not None}
        self.ledger[models.FOLDERS[kind], name] = (
            {"kind": kind, "title": self.draw(prose()), **front},
            self.draw(bodies()),
        )
        return name

    def some(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def count(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))

    def make(self) -> Ledger:
        self.add("investigation", "gearbox", by=[self.draw(prose())], subject="an invented gearbox")
        self.sources = self._sources()
        self.measurements = [self._measurement(f"width-{n}") for n in range(self.count(1, 3))]
        self.rivals = {f"question-{n}": self._question(f"question-{n}") for n in range(self.count(1, 2))}
        self.notes = [self._note(f"note-{n}") for n in range(self.count(0, 4))]
        self._calculations()
        self._lookouts_and_words()
        return self.ledger

    def _sources(self) -> list[str]:
        made: list[str] = []
        for n in range(self.count(1, 3)):
            origin = self.some(None, *made)
            made.append(
                self.add(
                    "source",
                    f"source-{n}",
                    medium=self.some("photograph", "book", "patent"),
                    author=self.draw(prose()),
                    date=self.draw(dates()),
                    rights="by leave of the author",
                    reliability=self.some(*"ABCDEF"),
                    origin=origin,
                )
            )
        return made

    def _measurement(self, name: str) -> str:
        return self.add(
            "measurement",
            name,
            quantity=self.draw(quantities()),
            source=self.some(*self.sources),
            credibility=self.count(1, 6),
            method="scaled from a known bolt",
        )

    def _question(self, question: str) -> list[str]:
        """Make a question and its rivals; priors and none-of-these sum to one to three digits."""
        self.add("question", question, none_of_these=0.1)
        shares = [self.count(1, 5) for _ in range(self.count(2, 3))]
        rivals = []
        for n, share in enumerate(shares):
            rivals.append(
                self.add(
                    "hypothesis",
                    f"{question}-rival-{n}",
                    question=question,
                    prior=round(0.9 * share / sum(shares), 4),
                    reason=self.draw(prose()),
                    predicts={self.measurements[0]: self.draw(quantities())},
                )
            )
        self.add(
            "precedent",
            f"{question}-precedent",
            standing="in-use",
            from_=1931,
            traits=[self.draw(prose())],
            example_of=[self.some(*rivals)],
            source=self.some(None, *self.sources),
        )
        return rivals

    def _judged(self, rivals: list[str]) -> dict[str, Any]:
        judged = {rival: self.draw(bearings()) for rival in rivals}
        if self.some(True, False):
            judged[rivals[-1]], judged["others"] = judged[rivals[-1]], self.draw(chances())
            del judged[rivals[0]]
        return judged

    def _note(self, name: str) -> str:
        bearing = self._judged(self.rivals[self.some(*self.rivals)]) if self.some(True, True, False) else None
        return self.add(
            "evidence",
            name,
            source=self.some(*self.sources),
            credibility=self.count(1, 6),
            bearing=bearing,
            marks=self.draw(st.lists(marks(), max_size=2)),
            measurements=self.some(None, [self.measurements[-1]]),
        )

    def _calculations(self) -> None:
        made: list[str] = []
        rivals = [rival for named in self.rivals.values() for rival in named]
        for n in range(self.count(0, 2)):
            inputs = {
                "travel": f"measurements/{self.some(*self.measurements)}",
                "arc": {"value": 30, "reason": "as drawn"},
            }
            if made:
                inputs["radius"] = f"calculations/{self.some(*made)}#radius"
            observed = {"output": "radius", "measurement": self.measurements[0]} if self.some(True, False) else None
            made.append(
                self.add(
                    "calculation",
                    f"track-{n}",
                    calculator="drum-track",
                    hypotheses=[self.some(*rivals)],
                    inputs=inputs,
                    observed=observed,
                )
            )

    def _lookouts_and_words(self) -> None:
        if self.some(True, False):
            question = self.some(*self.rivals)
            seen = {rival: self.count(1, 9) / 10 for rival in self.rivals[question]}
            unseen = {rival: round(1 - chance, 1) for rival, chance in seen.items()}
            self.add("lookout", "inside", question=question, cost="a letter", outcomes={"seen": seen, "unseen": unseen})
        for n in range(self.count(0, 2)):
            about = self.some(*(f"{folder}/{name}" for folder, name in self.ledger if not folder.startswith("repl")))
            self.add(
                "reply",
                f"reply-{n}",
                about=about,
                stance="doubt",
                date="2031-05-17",
                consent=True,
                withdrawn=self.some(None, "The reader asked for it."),
                answer=self.some(None, "We looked again."),
            )
        if self.some(True, False):
            grounds = [f"measurements/{self.measurements[0]}", f"hypotheses/{self.rivals['question-0'][0]}"]
            self.add("decision", "drum-size", choice=self.draw(prose()), grounds=grounds, taken="2031-06")


@st.composite
def ledgers(draw: st.DrawFn) -> Ledger:
    """A small ledger without a fault: {(folder, name): (front, body)}."""
    return _Maker(draw).make()
