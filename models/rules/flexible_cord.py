"""Flexible cords: from a machine to its receptacle, never through a wall. Feet."""

from collections.abc import Iterator

from models.plan import Finding, OutletPlan
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import Point
from models.sight import wall_between

CORD = RuleText(
    "flexible-cord",
    "Cords through walls",
    "A flexible cord is no fixed wiring: between a machine that stays in its place and its"
    " receptacle there is no wall. A doorway is none.",
    "NEC 400.12",
    "code",
)
RULES = registry(CORD)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each machine whose cord would go through a wall."""
    for placed in reading.plan.machines:
        machine, outlet = reading.machines_of_shop[placed.id], reading.outlet_of(placed)
        if machine.plug is None or machine.at is None or outlet is None:
            continue
        if wall_between(reading.shop, machine.at, _plugged_at(reading, outlet)):
            who = reading.called[machine.id]
            yield CORD.finding(
                machine.id,
                f"the cord of {who} would go through a wall to {outlet.id}",
                edition=reading.edition,
                fix=f"a receptacle on the side of the wall where {who} stands",
            )


def _plugged_at(reading: Reading, outlet: OutletPlan) -> Point:
    """Where a plug goes in, seen from above: on the side that the box opens to. [ft]"""
    box = reading.box_of_shop(outlet)
    inside = reading.shop.stands_in(box)
    if not box.outdoors:
        return inside
    x, y, _ = reading.shop.position(box)
    return 2 * x - inside[0], 2 * y - inside[1]
