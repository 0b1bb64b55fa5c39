"""Passages of a plan: which cables go through each, and what bundling takes from them."""

from collections.abc import Collection, Sequence
from typing import Final

from models.formulas.ampacity import bundling_factor
from models.plan import CircuitPlan, Content, Ledger, PassagePlan
from models.shop import Shop
from solver.draft import feet3
from solver.floor import hundredths
from solver.routes import Ways, passes

FEW_CABLES: Final = 2  # through one opening they are not adjusted, 334.80


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
    return PassagePlan(id=name, place=feet3(place), ledgers=(passage_ledger(takes, contents),))


def passage_ledger(
    takes: int, contents: tuple[Content, ...], mixed: Collection[str] = ()
) -> Ledger:
    """What goes through a passage that takes so many cables; `mixed` as `carrying` has it."""
    counted = sum(carrying(content, mixed) for content in contents)
    return Ledger(
        contents=contents,
        fill_percent=round(100 * len(contents) / takes, 2),
        limit_percent=100.0,
        current_carrying=counted,
        adjustment=bundling_factor(counted) if len(contents) > FEW_CABLES else 1.0,
        room_left=(),
    )


def carrying(content: Content, mixed: Collection[str] = ()) -> int:
    """Conductors of a run that count for heat; a neutral shared by two 120 V hots does not.

    That of `mixed` circuits, which feed outlets of both voltages, does (stricter than 310.15(E)).
    """
    roles = [wire.role for wire in content.conductors]
    shared = {"hot", "hot2", "neutral"} <= set(roles) and content.circuit not in mixed
    return sum(role not in ("ground", "spare") for role in roles) - shared
