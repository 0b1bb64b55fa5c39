"""Side by side: the planner against simpler ways to group the same receptacles, in one run.

    python -m benchmarks [SHOP ...]        costs and times of the demo shops
    python -m benchmarks --picture         make the drawings under docs again

Every way uses the same routes, builds, prices and exact checks; only the grouping differs. Times
are of this run on this machine: read the ratios.
"""

import sys
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.shop_plan import shop_plan
from models.price_book import PriceBook
from models.shop import Shop
from models.shop_file import read_shop
from solver.candidate import MONEY, Candidate
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.plan import plan_shop
from solver.points import Points
from solver.pool import make_pool
from solver.refusal import Refusal
from solver.routes import Ways
from solver.selection import Selection
from solver.solve import Control
from solver.survey import survey

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "scenarios" / "one_bay_garage.yaml"
DOCS = ROOT / "docs"
Grouping = Callable[[Circuits], list[frozenset[int]]]


def circuits_of(shop: Shop) -> Circuits:
    """A fresh view of a shop, with nothing remembered."""
    return Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, PriceBook.read()))


def one_each(circuits: Circuits) -> list[frozenset[int]]:
    """Every receptacle yoke on a circuit of its own; machines go to the first that takes them."""
    return _fill(circuits, lambda groups, item: [*groups, frozenset({item})])


def along_the_walls(circuits: Circuits) -> list[frozenset[int]]:
    """Around the room in order; a new circuit when the next receptacle no longer fits."""

    def place(groups: list[frozenset[int]], item: int) -> list[frozenset[int]]:
        joined = groups[-1] | {item} if groups else frozenset({item})
        if groups and not isinstance(circuits.candidates(joined), Refusal):
            return [*groups[:-1], joined]
        return [*groups, frozenset({item})]

    return _fill(circuits, place)


def _fill(
    circuits: Circuits, place: Callable[[list[frozenset[int]], int], list[frozenset[int]]]
) -> list[frozenset[int]]:
    """Machines with the first receptacle they may use, then everything else by `place`."""
    items = circuits.points.items
    groups: list[frozenset[int]] = []
    left = set(range(len(items)))
    for machine in [i for i in sorted(left) if any(p.options for p in items[i].points)]:
        names = {name for p in items[machine].points for name in p.options}
        yokes = [i for i in sorted(left) if names & {p.id for p in items[i].points}]
        sets = [frozenset({machine, yoke}) for yoke in yokes]
        sets += [group | {machine} for group in groups]
        fits = next((s for s in sets if not isinstance(circuits.candidates(s), Refusal)), None)
        if fits is not None:
            groups = [group for group in groups if not group <= fits] + [fits]
            left -= fits
    for item in sorted(left):
        groups = place(groups, item)
    return groups


def cost_of(circuits: Circuits, groups: Iterable[frozenset[int]]) -> float | None:
    """Cost of fixed groups with the best box sizes, USD; None when they do not fit the panel."""
    chosen: list[Candidate] = []
    for group in groups:
        made = circuits.candidates(group)
        if isinstance(made, Refusal):
            return None
        chosen.append(made[0])
    found = Selection(circuits.shop, circuits.ways, circuits.catalogue, chosen).solve(Control())
    return None if found is None else found.value / MONEY


def planner(circuits: Circuits) -> float | None:
    """Pool and selection, as `branchwright plan` does it."""
    control = Control()
    pool = make_pool(circuits, control).candidates
    found = Selection(circuits.shop, circuits.ways, circuits.catalogue, pool).solve(control)
    return None if found is None else found.value / MONEY


def compare(path: Path) -> None:
    """One shop by every way."""
    shop = read_shop(path)
    rows: list[tuple[str, float | None, float]] = []
    for name, way in (("one circuit a yoke", one_each), ("along the walls", along_the_walls)):
        circuits = circuits_of(shop)
        began = time.perf_counter()
        cost = cost_of(circuits, way(circuits))
        rows.append((name, cost, time.perf_counter() - began))
    circuits = circuits_of(shop)
    began = time.perf_counter()
    best = planner(circuits)
    rows.append(("planner", best, time.perf_counter() - began))
    own = rows[-1][2]
    print(f"{path.name}: material cost, and time against the planner's {own:.2f} s")
    for name, cost, seconds in rows:
        told = "does not fit" if cost is None else f"{cost:8.2f} USD"
        more = "" if cost is None or best is None else f"  {100 * (cost / best - 1):+6.1f} %"
        print(f"  {name:20} {told:>14}{more}  {seconds / own:5.2f} ×")


def pictures() -> dict[str, str]:
    """The drawings that README.md shows, by the name of their file under docs."""
    outcome = plan_shop(read_shop(DEMO), PriceBook.read(), Control())
    assert outcome.plan is not None
    metal = read_shop(DEMO.parent / "half_wired_metal_shop.yaml")
    understood = shop_plan(metal, survey(metal, PriceBook.read()))
    return {
        "one_bay_garage.svg": floor_plan(outcome.plan).svg() + "\n",
        "half_wired_metal_shop.svg": understood.svg() + "\n",
    }


def main(arguments: Sequence[str]) -> None:
    """Run what the arguments ask for."""
    if list(arguments) == ["--picture"]:
        DOCS.mkdir(exist_ok=True)
        for name, drawing in pictures().items():
            (DOCS / name).write_text(drawing, encoding="utf-8")
        return
    for path in map(Path, arguments or [str(DEMO)]):
        compare(path)


if __name__ == "__main__":
    main(sys.argv[1:])
