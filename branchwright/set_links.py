"""Links of the page of a set: from what is drawn to the row that tells of it, and back.

A thing's row is the first of the paper that is about such things; its place is a sheet of its own,
or its last group, the label, on the drawing that shows it best. Plain anchors: no script is needed.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from types import MappingProxyType
from typing import Final, NamedTuple

from branchwright.papers.paper import Paper
from branchwright.sheets.cut_rolls import rolls
from branchwright.sheets.display import Drawing, Group, Thing
from branchwright.sheets.text_size import held
from branchwright.words import clean
from models.plan import Plan

HOMES: Final[Mapping[str, tuple[str, str]]] = {  # paper and its column: a row for each such thing
    "box": ("box_schedule", "Box"),
    "circuit": ("circuit_directory", "Circuit"),
    "panel": ("circuit_directory", "Panel"),
    "piece": ("cutting_plan", "Piece"),
    "raceway": ("raceway_ledger", "Raceway"),
    "run": ("pull_list", "Run"),
}
KINDS: Final[Mapping[str, tuple[str, ...]]] = {  # what the names in a column of a paper may be
    "Box": ("box",), "Circuit": ("circuit",), "Circuits": ("circuit",), "Panel": ("panel",),
    "Machine": ("machine",), "Piece": ("piece",), "Raceway": ("raceway",),
    "Run": ("run",), "Runs inside": ("run",), "Through": ("raceway",),
    "At": ("box", "panel"), "From": ("panel", "box"), "To": ("box", "panel"),
    "For": ("run", "raceway"), "Where": ("circuit", "box", "raceway", "panel", "run"),
}  # fmt: skip
BEST: Final[Mapping[str, str]] = {
    "box": "floor", "run": "circuits", "raceway": "sections",
    "piece": "rolls",
}  # fmt: skip
CARDS: Final = "fault-cards"  # a circuit's row leads to its card too
BETWEEN: Final = ", "
_NOT_IN_ANCHORS: Final = re.compile(r"[^A-Za-z0-9_-]+")


class Drawn(NamedTuple):
    """A drawing of the set under its anchor; `about` is the one thing that it is the sheet of.

    `name` is the kind of drawing, as it is asked for.
    """

    name: str
    anchor: str
    drawing: Drawing
    about: Thing | None = None


class SetLinks:
    """Who links where on one page."""

    def __init__(
        self,
        plan: Plan,
        drawings: Sequence[Drawn],
        papers: Iterable[Paper],
        places: Mapping[Thing, str] = MappingProxyType({}),
    ) -> None:
        """`places` are anchors of what has a section of its own that is no drawing."""
        self._names = _Names()
        self._known = _known(plan) | {(thing.kind, thing.id): thing for thing in places}
        self._rows: dict[Thing, str] = {}  # the anchor of a thing's row
        self._row_at: dict[tuple[str, int], str] = {}
        for paper in papers:
            self._find_rows(paper)
        self._places = dict(places)  # the anchor of what is drawn of it
        self._cards: dict[Thing, str] = {}  # the anchor of a circuit's first card
        self._groups: dict[tuple[str, int], str] = {}
        for drawn in drawings:
            self._find_places(drawn)

    def _find_rows(self, paper: Paper) -> None:
        heads = [field.name for field in paper.fields]
        for kind, (name, head) in HOMES.items():
            if paper.name != name or head not in heads:
                continue
            for number, row in enumerate(paper.rows):
                thing = self._known.get((kind, str(row[heads.index(head)])))
                if thing and thing not in self._rows:
                    at = (paper.name, number)
                    anchor = self._row_at.get(at) or self._names.new(f"row-{kind}-{thing.id}")
                    self._rows[thing] = self._row_at[at] = anchor

    def _find_places(self, drawn: Drawn) -> None:
        if drawn.about:
            self._places[drawn.about] = drawn.anchor
        best: dict[Thing, Group] = {}
        for group in groups_in(drawn.drawing.root):
            thing = group.about
            if thing and BEST.get(thing.kind) == drawn.name and thing not in self._places:
                best[thing] = group
            elif thing and drawn.name == CARDS and thing not in self._cards:
                self._cards[thing] = self._anchor(drawn, thing, group)
        for thing, group in best.items():
            self._places[thing] = self._anchor(drawn, thing, group)

    def _anchor(self, drawn: Drawn, thing: Thing, group: Group) -> str:
        """A new anchor at a group of a drawing."""
        anchor = self._names.new(f"{drawn.anchor}-{thing.kind}-{thing.id}")
        self._groups[drawn.anchor, id(group)] = anchor
        return anchor

    def of_group(self, drawn: Drawn, group: Group) -> dict[str, str]:
        """The attributes of a group's link: to the row of what it shows, and its own anchor.

        A link without words is left to the mouse: the label beside it says and does the same.
        """
        row = self._rows.get(group.about) if group.about else None
        if not row:
            return {}
        here = self._groups.get((drawn.anchor, id(group)))
        quiet = {} if any(group.texts()) else {"tabindex": "-1", "aria-hidden": "true"}
        return {"href": f"#{row}", **quiet, **({"id": here} if here else {})}

    def row_anchor(self, paper: Paper, row: int) -> str:
        """The anchor of a row; empty for most."""
        return self._row_at.get((paper.name, row), "")

    def cell(self, paper: Paper, column: str, text: str) -> str:
        """The HTML of a cell: names of things that are drawn lead there; a circuit's row has a
        link to its card besides.
        """
        kinds = KINDS.get(column)
        if not kinds or not text:
            return escape(held(text))
        linked = BETWEEN.join(self._linked(part, kinds) for part in text.split(BETWEEN))
        thing = self._known.get(("circuit", text))
        if (paper.name, column) != HOMES["circuit"] or thing not in self._cards:
            return linked
        says = escape(f"card of {text}, to find faults by")
        return f'{linked} <a href="#{self._cards[thing]}" aria-label="{says}">card</a>'

    def _linked(self, text: str, kinds: tuple[str, ...]) -> str:
        name = {"panel": text.removeprefix("panel ")}
        things = (self._known.get((kind, name.get(kind, text))) for kind in kinds)
        place = next((self._places[t] for t in things if t and t in self._places), None)
        return f'<a href="#{place}">{escape(text)}</a>' if place else escape(held(text))


class _Names:
    """Anchors made of names: what an address may hold, each once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def new(self, wanted: str) -> str:
        wanted = _NOT_IN_ANCHORS.sub("_", wanted)
        name, number = wanted, 1
        while name in self._taken:
            number += 1
            name = f"{wanted}-{number}"
        self._taken.add(name)
        return name


def _known(plan: Plan) -> dict[tuple[str, str], Thing]:
    """Everything that may be linked, by its kind and what papers call it."""
    things = [Thing("box", box.id) for box in plan.boxes]
    things += [Thing("panel", panel.id) for panel in plan.panels]
    things += [Thing("raceway", raceway.id) for raceway in plan.raceways]
    things += [Thing("circuit", circuit.id) for circuit in plan.circuits]
    things += [Thing("piece", r.mark(n)) for r in rolls(plan) for n in range(1, len(r.pieces) + 1)]
    things += [Thing("run", run.id) for circuit in plan.circuits for run in circuit.runs]
    things += [Thing("run", run.id) for run in (*plan.later_runs, *plan.rooms)]
    return {(thing.kind, clean(thing.id)): thing for thing in things}


def groups_in(group: Group) -> Iterator[Group]:
    """Every group inside another, in drawing order."""
    for shape in group.shapes:
        if isinstance(shape, Group):
            yield shape
            yield from groups_in(shape)
