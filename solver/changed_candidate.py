"""A candidate with days to come: what they add to its counts, which runs need a spare, what is
exchanged. Money in 0.0001 USD, copper in 1e-8 lb, parts in hundredths by key.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from models.part_keys import device_key
from solver.candidate import AREA, Candidate, Edge, Prepared, WayShare
from solver.catalogue import copper_per_cft
from solver.load import Load
from solver.site import Site

HUNDREDTHS: Final = 100
Parts = dict[str, int]


def is_shared(load: Load, items: int) -> bool:
    """Whether a circuit has outlets that need not be on it together."""
    return items > 1 and len(load.outlets) > 1


def with_days(made: Candidate, prepared: Iterable[Prepared]) -> Candidate:
    """A candidate with what it does about days to come in its counts."""
    ready = tuple(sorted(prepared, key=lambda one: one.machine))
    if not ready:
        return made
    return replace(
        made,
        prepared=ready,
        cost=made.cost + sum(one.expected_cost for one in ready),
        copper=made.copper + sum(one.expected_copper for one in ready),
    )


def heated(made: Candidate, survives: dict[str, int], more: int) -> Candidate:
    """With what it survives after its days, and what its spares then count for heat."""
    spared = [edge for edge in made.edges if "spare" in edge.roles]
    raceways: dict[str, WayShare] = {}
    for name, share in made.raceways.items():
        later = more * sum(name in edge.way.raceways for edge in spared)
        most = min(share.survives, survives.get(name, share.survives))
        raceways[name] = replace(share, survives=most, later=later)
    passages: dict[str, WayShare] = {}
    for name, through in made.passages.items():
        later = more * sum(name in edge.way.passages for edge in spared)
        most = min(through.survives, survives.get(name, through.survives))
        passages[name] = replace(through, survives=most, later=later)
    return replace(made, raceways=raceways, passages=passages)


def passed(edges: Sequence[Edge], box: str) -> set[str]:
    """The ends of the runs that lead to a box, its own last one with them."""
    above = {edge.end: edge.start for edge in edges}
    found = set()
    while box in above:
        found.add(box)
        box = above[box]
    return found


def exchanged(configuration: str | None) -> Parts:
    """The receptacle that is exchanged; none where the machine is wired."""
    if configuration is None:
        return {}
    return {device_key("single", configuration): HUNDREDTHS}


def goes_in_alone(made: Candidate, site: Site) -> bool:
    """Whether raceways and new boxes would hold a circuit that is alone in them."""
    for name, share in made.raceways.items():
        raceway = site.ways.raceways[name].raceway
        inside = raceway_area_in2(raceway.kind, raceway.trade_size)
        if share.room > int(fill_limit(3) * inside * AREA):
            return False
    for name, held in made.boxes.items():
        box = site.boxes.get(name)
        if box is None or name in site.points.existing_boxes:
            continue
        largest = max((volume for _, volume, _ in site.catalogue.boxes_for(box)), default=0)
        if held.volume + held.ground_volume > largest:
            return False
    return True


def run_copper(edge: Edge, made: Candidate, slack_cft: int) -> int:
    """Copper of a run with its ground. [1e-8 lb]"""
    ground = copper_per_cft(made.ground[edge.way.method])
    return (edge.way.length_cft + slack_cft) * (edge.wires * copper_per_cft(made.awg) + ground)
