"""Front matter read strictly, from the events of YAML and without recursion.

No aliases, anchors, tags, merge keys, repeated keys, keys that are not words, second documents or surprising scalars.
Every fault is kept and the reading goes on, until the syntax itself breaks.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from ledger.entries.scalars import Surprise, plainly, read_plain
from ledger.entries.syntax import explain_syntax
from ledger.errors import Fault

DEPTH = 20
SIZE = 256_000
KEY_LENGTH = 128
_BREAKS = re.compile("[\x85\u2028\u2029\ufeff]")
_SCALAR, _ALIAS = yaml.ScalarEvent, yaml.AliasEvent
_STARTS = (yaml.MappingStartEvent, yaml.SequenceStartEvent)
_ENDS = (yaml.MappingEndEvent, yaml.SequenceEndEvent)


@dataclass(frozen=True)
class Loaded:
    """What front matter says: plain data, the line of each field by dotted path, and the faults.

    lines     dotted path -> line; items of a list are counted from one, as people do: `marks.1.label`
    spoiled   paths whose value is not what the person meant, so that nothing more need be said of them
    complete  False where the syntax broke and the rest could not be read
    """

    data: dict[str, Any]
    lines: Mapping[str, int]
    faults: tuple[Fault, ...]
    spoiled: frozenset[str]
    complete: bool


class _Frame:
    """A mapping or list being filled; `key` is the key whose value comes next, None where a key is awaited."""

    __slots__ = ("data", "drop", "is_map", "key", "keyed", "prefix")

    def __init__(self, data: Any, is_map: bool, prefix: str) -> None:
        self.data = data
        self.is_map = is_map
        self.prefix = prefix
        self.key: str = ""
        self.keyed = False
        self.drop = False


class _Builder:
    """Builds the data event by event."""

    def __init__(self, file: str, first_line: int) -> None:
        self.file = file
        self.first_line = first_line
        self.faults: list[Fault] = []
        self.spoiled: set[str] = set()
        self.lines: dict[str, int] = {}
        self.data: dict[str, Any] = {}
        self.stack: list[_Frame] = []
        self.documents = 0
        self.strange = 0

    def fault(self, line: int, path: str, given: str, expected: str, remedy: str) -> None:
        self.faults.append(Fault(self.file, line, path, plainly(given), expected, remedy))

    def take(self, event: Any) -> bool:
        """Take one event in; return False where reading cannot go on."""
        kind = type(event)
        if kind is _SCALAR or kind in _STARTS or kind is _ALIAS:
            return self._node(event, kind)
        if kind in _ENDS:
            self.stack.pop()
        elif kind is yaml.DocumentStartEvent:
            self.documents += 1
            line = event.start_mark.line + self.first_line
            if self.documents > 1:
                self.fault(line, "", "a second document", "one front matter", "Keep one pair of `---` lines.")
                return False
            if event.version or event.tags:
                self.fault(line, "", "a % directive", "fields only", "Take the line out.")
        return True

    def _node(self, event: Any, kind: type) -> bool:
        line = event.start_mark.line + self.first_line
        if not self.stack:
            return self._root(event, kind, line)
        frame = self.stack[-1]
        if frame.is_map and not frame.keyed:
            if kind is _SCALAR:
                self._key(frame, event, line)
                return True
            return self._strange_key(frame, kind, line)
        if frame.is_map:
            path = frame.prefix + frame.key
        else:
            path = f"{frame.prefix}{len(frame.data) + 1}"
            self.lines[path] = line
        value: Any
        if kind is _SCALAR:
            value = event.value
            if event.anchor is not None or event.tag is not None:
                self._decoration(event, line, path)
            elif event.implicit[0]:
                value = read_plain(value)
                if type(value) is Surprise:
                    self.fault(line, path, event.value or "nothing", value.expected, value.remedy)
                    self.spoiled.add(path)
                    value = event.value
        elif kind is _ALIAS:
            value = "*" + event.anchor
            self.spoiled.add(path)
            if frame.key != "<<":
                self.fault(
                    line,
                    path,
                    value,
                    "the value itself",
                    f'Write the value out; text that begins with * needs quotes: "{value}".',
                )
        else:
            if event.anchor is not None or event.tag is not None:
                self._decoration(event, line, path)
            value = {} if kind is yaml.MappingStartEvent else []
        if not frame.is_map:
            frame.data.append(value)
        else:
            if not frame.drop:
                frame.data[frame.key] = value
            frame.keyed = frame.drop = False
        return kind not in _STARTS or self._open(value, path + ".", line)

    def _root(self, event: Any, kind: type, line: int) -> bool:
        if kind is not yaml.MappingStartEvent:
            given = "a list" if kind is yaml.SequenceStartEvent else "text"
            self.fault(
                line, "", given, "lines of the form `field: value`", "Begin each line with a field's name and a colon."
            )
            return False
        if event.anchor is not None or event.tag is not None:
            self._decoration(event, line, "")
        return self._open(self.data, "", line)

    def _open(self, value: Any, prefix: str, line: int) -> bool:
        if len(self.stack) >= DEPTH:
            path = ".".join(prefix.split(".")[:3]) + "…"
            self.fault(line, path, f"more than {DEPTH} levels", f"at most {DEPTH} levels", "Say it flatter.")
            return False
        self.stack.append(_Frame(value, type(value) is dict, prefix))
        return True

    def _key(self, frame: _Frame, event: Any, line: int) -> None:
        key: str = event.value
        path = frame.prefix + key
        frame.keyed = True
        if event.anchor is not None or event.tag is not None:
            self._decoration(event, line, path)
        elif event.implicit[0]:
            meaning = read_plain(key)
            if key == "<<":
                self.fault(line, path, "the merge key `<<`", "fields written out", "Write the fields out here.")
                frame.drop = True
            elif type(meaning) is Surprise or isinstance(meaning, bool | float):
                shown = key or "an empty key"
                self.fault(
                    line,
                    path,
                    shown,
                    "a key that all readers take for text",
                    f'Write "{key}" in quotes, or choose another name.',
                )
                self.spoiled.add(path)
        if len(key) > KEY_LENGTH:
            self.fault(
                line,
                path[:60] + "…",
                f"a key of {len(key)} signs",
                f"a key of at most {KEY_LENGTH}",
                "Choose a shorter name.",
            )
            self.spoiled.add(path)
        if key in frame.data:
            first = self.lines.get(path, line)
            self.fault(
                line, path, f"`{plainly(key)}` again", f"each key once (first in line {first})", "Keep one of the two."
            )
            frame.drop = True
        else:
            self.lines[path] = line
        frame.key = key

    def _strange_key(self, frame: _Frame, kind: type, line: int) -> bool:
        """Report a key that is a list, a mapping or an alias, and read past it."""
        given = "an alias" if kind is _ALIAS else "a list or mapping"
        self.fault(
            line,
            frame.prefix.rstrip("."),
            f"{given} as a key",
            "a word as the key",
            "Write `name: value`; quote text that begins with [, { or *.",
        )
        self.strange += 1
        frame.key, frame.keyed, frame.drop = f"?{self.strange}", True, True
        if kind is _ALIAS:
            return True
        return self._open({} if kind is yaml.MappingStartEvent else [], frame.prefix + frame.key + ".", line)

    def _decoration(self, event: Any, line: int, path: str) -> None:
        self.spoiled.add(path)
        if event.anchor is not None:
            given = "&" + event.anchor
            self.fault(
                line,
                path,
                f"the anchor `{given}`",
                "a value without an anchor",
                f"Take `{given}` out; text that begins with & needs quotes.",
            )
        if event.tag is not None:
            given = event.tag.replace("tag:yaml.org,2002:", "!!")
            self.fault(
                line,
                path,
                f"the tag `{given}`",
                "a value without a tag",
                "Take the tag out; text that begins with ! needs quotes.",
            )


def load(text: str, file: str, first_line: int = 2) -> Loaded:
    """Read front matter (without its `---` lines), whose first line is line `first_line` of `file`. Raises nothing."""
    builder = _Builder(file, first_line)
    complete = _precheck(text, builder) and _run(text, builder)
    if complete and not builder.data and not builder.faults:
        builder.fault(
            first_line - 1, "", "nothing", "fields between the `---` lines", "Write at least `kind` and `title`."
        )
        complete = False
    return Loaded(builder.data, builder.lines, tuple(builder.faults), frozenset(builder.spoiled), complete)


def _precheck(text: str, builder: _Builder) -> bool:
    if len(text) > SIZE or (len(text) * 4 > SIZE and len(text.encode("utf-8", "replace")) > SIZE):
        builder.fault(
            builder.first_line,
            "",
            f"front matter of more than {SIZE // 1000} kB",
            "less",
            "Move long text below the front matter.",
        )
        return False
    if text.isascii():
        return True
    found = _BREAKS.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + builder.first_line
        given = f"the invisible sign U+{ord(found.group()):04X}"
        builder.fault(
            line, "", given, "ordinary line ends and spaces", "Delete it, or write it as an escape in double quotes."
        )
        return False
    return True


def _run(text: str, builder: _Builder) -> bool:
    try:
        parser = yaml.CSafeLoader(text)
        take, next_event = builder.take, parser.get_event
        while True:
            event = next_event()
            if event is None or type(event) is yaml.StreamEndEvent:
                return True
            if not take(event):
                return False
    except (yaml.YAMLError, UnicodeEncodeError) as error:
        builder.faults.append(explain_syntax(error, text, builder.file, builder.first_line))
        return False
