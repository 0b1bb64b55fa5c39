"""A set of sheets since an older plan: clouds on drawings, the list of changes, what to reprint."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from branchwright.papers.changes import Listed, changes_drawings, changes_paper, listed
from branchwright.papers.paper import Paper
from branchwright.papers.reprint import reprint, reprint_drawings
from branchwright.sheets.clouds import clouded, shown_on
from branchwright.sheets.display import Drawing, Thing
from branchwright.sheets.sheet import HASH_DIGITS
from branchwright.words import clean
from models.compare.changes import Change, changes
from models.plan import Plan
from models.shop import Shop

MARKED: Final = ("floor", "circuits", "panels", "one-line", "elevations")
CHANGES, REPRINT = "changes", "reprint"
TITLES: Final = {CHANGES: "What changed", REPRINT: "Labels to print again"}
NAMES: Final = tuple(TITLES)
Shown = Mapping[int, Sequence[str]]  # titles of sheets by number


class OtherShopError(ValueError):
    """The older plan is of another shop, with what to do about it."""


@dataclass(frozen=True)
class Since:
    """Two plans of one shop, and the hash of the older one's file."""

    old: Plan
    new: Plan
    old_sha256: str

    @classmethod
    def of(cls, old: Plan, new: Plan, old_sha256: str) -> "Since":
        """Refuse the plan of another shop: OtherShopError."""
        shops = [Shop.model_validate(plan.source.shop) for plan in (old, new)]
        names = [clean(shop.name) for shop in shops]
        corners = [set(shop.building.corners) for shop in shops]
        boxes = [{box.id for box in plan.boxes} for plan in (old, new)]
        if names[0] != names[1] and corners[0] != corners[1]:
            raise OtherShopError(
                f"a plan of {names[0]!r}, while PLAN is of {names[1]!r}, a room of another outline:"
                " name an older plan of the same shop; `branchwright compare` holds plans of"
                " different shops side by side"
            )
        if boxes[0] and not boxes[0] & boxes[1]:
            raise OtherShopError(
                f"a plan of {names[0]!r} with {len(boxes[0])} boxes, none of which PLAN has by its"
                " id: name an older plan of the same shop, or print the whole set"
            )
        return cls(old, new, old_sha256)

    @property
    def words(self) -> str:
        """What the older plan is called on sheets."""
        return f"plan {self.old_sha256[:HASH_DIGITS]}"

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """Every change, numbered."""
        return changes(self.old, self.new)

    @cached_property
    def numbers(self) -> dict[Thing, list[int]]:
        """The numbers that mark each thing."""
        found: dict[Thing, list[int]] = defaultdict(list)
        for change in self.changes:
            for one in change.marked:
                found[Thing(one.kind, one.id)].append(change.number)
        return dict(found)

    def marked(self, name: str, drawing: Drawing) -> Drawing:
        """A drawing of one kind of the set, with its clouds where that kind has any."""
        if name not in MARKED:
            return drawing
        return clouded(drawing, self.numbers, self.words, self._said, whole_runs=name != "floor")

    @cached_property
    def _said(self) -> Mapping[int, str]:
        return {one.change.number: f"{one.thing}: {one.how}" for one in self._listed({})}

    def _listed(self, shown: Shown) -> list[Listed]:
        return listed(self.old, self.new, self.changes, shown)

    def shown(self, drawn: Iterable[tuple[str, Drawing]]) -> Shown:
        """The titles of the sheets that show each number; `drawn` are those of kinds in MARKED."""
        found: dict[int, list[str]] = defaultdict(list)
        for title, drawing in drawn:
            for number in shown_on(drawing, self.numbers):
                found[number].append(title)
        return found

    def papers(self, shown: Shown) -> dict[str, Callable[[Plan], Paper]]:
        """Makers of the list and of the reprint, by name."""
        rows = self._listed(shown)
        return {
            CHANGES: lambda _: changes_paper(rows, self.words),
            REPRINT: lambda new: reprint(self.old, new),
        }

    def drawings(self, name: str, shown: Shown) -> list[tuple[str, str, Drawing]]:
        """The list or the reprint drawn: file without ending, title, drawing."""
        if name == CHANGES:
            made = changes_drawings(self.new, self._listed(shown), self.words)
        else:
            made = reprint_drawings(self.old, self.new)
        several = len(made) > 1
        return [
            (f"{name}_{number:02}", TITLES[name] + f" {number}" * several, drawing)
            for number, drawing in enumerate(made, start=1)
        ]
