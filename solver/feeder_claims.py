"""What a plan says of its panels: the state that loads each leg most, and the feeder behind. A."""

from collections.abc import Iterable, Iterator, Mapping

from models.plan import Demand, FeederPlan, LegDemand, LoadLine
from models.shop import Panel
from solver.load import Loads


def leg_rows(
    loads: Loads, panel: str, base: Mapping[str, tuple[Mapping[str, float], float]]
) -> Iterator[LegDemand]:
    """Per binding day and leg, the state that loads the leg of a panel most.

    `base`: machines on each leg with their current, and its lights [A].
    """
    for day in loads.days:
        for leg in "AB":
            state = loads.rules.worst(base[leg][0], loads.crews[day.id]).machines
            a, b = (
                lights + sum(amps.get(machine, 0.0) for machine in state)
                for amps, lights in base.values()
            )
            yield LegDemand(
                panel=panel, day=day.id, state=state, a_amps=round(a, 3), b_amps=round(b, 3)
            )


def feeder_plan(panel: Panel, legs: Iterable[LegDemand], lines: tuple[LoadLine, ...]) -> FeederPlan:
    """The feeder of a panel, with the demand of its heavier leg and its load calculation."""
    rows: dict[str, LegDemand] = {}
    for row in legs:
        old = rows.get(row.day)
        if old is None or max(row.a_amps, row.b_amps) > max(old.a_amps, old.b_amps):
            rows[row.day] = row
    return FeederPlan(
        id=f"{panel.id}.feeder",
        source=panel.feeder.source,
        to=panel.id,
        breaker_amps=panel.feeder.breaker_amps,
        length_ft=panel.feeder.length_ft,
        conductors=panel.feeder.conductors.model_dump(),
        load_calculation=lines,
        demand=tuple(
            Demand(day=row.day, state=row.state, a_amps=row.a_amps, b_amps=row.b_amps)
            for row in rows.values()
        ),
    )
