"""YAML read into plain data, with the line and column of every key and value.

Only what a shop file needs: mappings, lists, texts, whole and decimal numbers, true, false and
nothing. `yes`, `3/4`, `010`, `12:30` and dates stay texts. Anchors, aliases, tags, directives, a
second document and deep nesting are refused, so that a small file cannot grow large in memory.
Lines and columns count from 1.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)
from ruamel.yaml.reader import ReaderError

from models.shop_problem import Path

DEEPEST: Final = 20
_WHOLE: Final = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_DECIMAL: Final = re.compile(r"[-+]?[0-9]{1,9}\.[0-9]{1,9}")
_WORDS: Final[dict[str, bool | None]] = {
    "": None, "null": None, "~": None, "true": True, "false": False,
}  # fmt: skip


class Mark(NamedTuple):
    """A place in the file, counted from 1."""

    line: int
    column: int


class MarkedProblem(NamedTuple):
    """Something in the text that is not read."""

    mark: Mark
    path: Path
    says: str


class BrokenYamlError(Exception):
    """The text cannot be read on from `problem`."""

    def __init__(self, problem: MarkedProblem) -> None:
        super().__init__(problem.says)
        self.problem = problem


@dataclass
class MarkedData:
    """Plain data, with the marks of its keys and values by path, and what was not read.

    `spans` are the first and last place of a value in the text; `flow` holds the lists and
    mappings written in brackets.
    """

    data: Any = None
    keys: dict[Path, Mark] = field(default_factory=dict)
    values: dict[Path, Mark] = field(default_factory=dict)
    spans: dict[Path, tuple[int, int]] = field(default_factory=dict)
    flow: set[Path] = field(default_factory=set)
    problems: list[MarkedProblem] = field(default_factory=list)

    def mark(self, path: Path) -> Mark:
        """Where a value stands; the nearest thing around it when it is not in the file."""
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, Mark(1, 1))


def read_marked(text: str) -> MarkedData:
    """Read a text; BrokenYamlError when it cannot be read to its end."""
    try:
        return _Reader(YAML(typ="safe", pure=True).parse(text)).read()
    except ReaderError as error:
        before = text[: error.position]
        mark = Mark(before.count("\n") + 1, len(before) - before.rfind("\n"))
        says = f"the character {text[error.position]!r} is not allowed in YAML: take it out"
        raise BrokenYamlError(MarkedProblem(mark, (), says)) from None
    except MarkedYAMLError as error:
        mark = _mark(error.problem_mark or error.context_mark)
        what = ", ".join(part for part in (error.context, error.problem) if part)
        says = f"not YAML here ({what}): look at this line and the one above it"
        raise BrokenYamlError(MarkedProblem(mark, (), says)) from None
    except (YAMLError, ValueError, OverflowError) as error:  # an escape beyond Unicode
        says = f"not YAML ({error}): look for a `\\U` escape"
        raise BrokenYamlError(MarkedProblem(Mark(1, 1), (), says)) from None


def _mark(mark: Any) -> Mark:
    """A parser's mark, which counts from 0."""
    return Mark(mark.line + 1, mark.column + 1) if mark else Mark(1, 1)


def _plain(text: str) -> Any:
    """What an unquoted text stands for."""
    if text.lower() in _WORDS:
        return _WORDS[text.lower()]
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text


class _Reader:
    """Turns a stream of events into data, one method for each kind of node."""

    def __init__(self, events: Iterator[Event]) -> None:
        self.events, self.found = events, MarkedData()

    def read(self) -> MarkedData:
        """The first document; another one is a problem."""
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                if event.version or event.tags:
                    self._problem(event, (), "a `%` directive is not read: take the line out")
                self.found.data = self._node(next(self.events), ())
            elif isinstance(event, DocumentEndEvent):
                break
        following = next(self.events, None)
        if following is not None and not isinstance(following, StreamEndEvent):
            says = "a second document begins here: a file holds one shop, take out the `---`"
            self._problem(following, (), says)
        return self.found

    def _problem(self, event: Event, path: Path, says: str) -> None:
        self.found.problems.append(MarkedProblem(_mark(event.start_mark), path, says))

    def _node(self, event: Event, path: Path) -> Any:
        """One value of any kind."""
        if len(path) > DEEPEST:
            says = f"nested deeper than {DEEPEST} levels: a shop needs far fewer"
            raise BrokenYamlError(MarkedProblem(_mark(event.start_mark), (), says))
        self.found.values[path] = _mark(event.start_mark)
        if isinstance(event, AliasEvent):
            says = f"the alias *{event.anchor} is not read: write the value out"
            self._problem(event, path, says)
            return None
        if isinstance(event, NodeEvent) and event.anchor is not None:
            self._problem(event, path, f"the anchor &{event.anchor} is not read: take it out")
        tag = getattr(event, "tag", None)
        if tag is not None:
            self._problem(event, path, f"the tag {tag} is not read: take it out")
        begin = event.start_mark.index
        if isinstance(event, MappingStartEvent | SequenceStartEvent):
            if event.flow_style:
                self.found.flow.add(path)
            inside = self._mapping if isinstance(event, MappingStartEvent) else self._sequence
            data, end = inside(path)
            self.found.spans[path] = begin, end
            return data
        assert isinstance(event, ScalarEvent)
        self.found.spans[path] = begin, event.end_mark.index
        if not event.value and event.implicit[0]:  # nothing after the colon: the key stands for it
            self.found.values[path] = self.found.keys.get(path, self.found.values[path])
        return _plain(event.value) if event.implicit[0] else event.value

    def _sequence(self, path: Path) -> tuple[list[Any], int]:
        """The items, and the place in the text where the list ends."""
        items: list[Any] = []
        while not isinstance(event := next(self.events), SequenceEndEvent):
            items.append(self._node(event, (*path, len(items))))
        return items, event.end_mark.index

    def _mapping(self, path: Path) -> tuple[dict[str, Any], int]:
        """Keys and values, and the place in the text where the mapping ends."""
        data: dict[str, Any] = {}
        while not isinstance(event := next(self.events), MappingEndEvent):
            mark = _mark(event.start_mark)
            key = self._key(event, path)
            here = (*path, key)
            if key in data:
                line = self.found.keys[here].line
                says = f"the key {key[:40]!r} is here twice, first in line {line}: keep one"
                self.found.problems.append(MarkedProblem(mark, here, says))
                self._set_aside(here)
                continue
            self.found.keys[here] = mark
            data[key] = self._node(next(self.events), here)
        return data, event.end_mark.index

    def _key(self, event: Event, path: Path) -> str:
        """A key as text; anything else than one word or text ends the reading."""
        if isinstance(event, ScalarEvent) and event.anchor is None and event.tag is None:
            return str(event.value)
        says = "a key is a plain word followed by a colon: write it so, or quote the text"
        raise BrokenYamlError(MarkedProblem(_mark(event.start_mark), path, says))

    def _set_aside(self, path: Path) -> None:
        """Read a second value of a key for its own problems; the first one stays."""
        keys, values = dict(self.found.keys), dict(self.found.values)
        self._node(next(self.events), path)
        self.found.keys, self.found.values = keys, values
