"""Passages of a plan: which cables go through each, and what bundling takes from them."""

from collections.abc import Sequence

from models.formulas.ampacity import bundling_factor
from models.plan import CircuitPlan, Content, Ledger, PassagePlan
from models.shop import Shop
from solver.draft import feet3
from solver.floor import hundredths
from solver.routes import Ways, passes
from solver.selection import FEW_CABLES


def passages_of(
    shop: Shop, ways: Ways, circuits: Sequence[CircuitPlan]
) -> tuple[PassagePlan, ...] | None:
    """Every passage with its ledger; None where the shop has none.

    A cable that nobody has seen counts where it is drawn. Fill is the share of the cables that the
    passage takes.
    """
    return (
        tuple(
            _passage(passage.id, passage.takes, ways, circuits) for passage in shop.routes.passages
        )
        or None
    )


def _passage(name: str, takes: int, ways: Ways, circuits: Sequence[CircuitPlan]) -> PassagePlan:
    place = ways.passages[name]
    contents = tuple(
        Content(run=run.id, circuit=circuit.id, conductors=run.conductors)
        for circuit in circuits
        for run in circuit.runs
        if not run.raceways
        and passes([(hundredths(x), hundredths(y), hundredths(z)) for x, y, z in run.path], place)
    )
    counted = sum(map(carrying, contents))
    ledger = Ledger(
        contents=contents,
        fill_percent=round(100 * len(contents) / takes, 2),
        limit_percent=100.0,
        current_carrying=counted,
        adjustment=bundling_factor(counted) if len(contents) > FEW_CABLES else 1.0,
        room_left=(),
    )
    return PassagePlan(id=name, place=feet3(place), ledgers=(ledger,))


def carrying(content: Content) -> int:
    """Conductors of a run that count for heat; a neutral shared by two 120 V hots does not."""
    roles = [wire.role for wire in content.conductors]
    shared = {"hot", "hot2", "neutral"} <= set(roles)
    return sum(role not in ("ground", "spare") for role in roles) - shared
