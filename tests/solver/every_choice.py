"""All there is to choose from in small shops, and the boxes that a choice of circuits asks for."""

from collections.abc import Iterator

from models.formulas.box_fill import allowance_in3
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.enclosures import box_choices
from solver.pool import enumerate_all
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control
from tests.dealt_out import dealt_out


def selection_of(circuits: Circuits) -> Selection:
    """Among every circuit there can be, and all that can be done for machines that may come."""
    assert enumerate_all(circuits, Control())
    later = circuits.later_machines.choices
    return Selection(circuits.shop, circuits.ways, circuits.catalogue, circuits.pool(), later=later)


def dealt_to_circuits(circuits: Circuits) -> Iterator[list[tuple[Candidate, ...]]]:
    """Every way to deal the items to circuits, with the builds of each circuit."""
    for groups in dealt_out(range(len(circuits.points.items))):
        made = [circuits.candidates(frozenset(group)) for group in groups]
        builds = [found for found in made if not isinstance(found, Refusal)]
        if len(builds) == len(groups):
            yield builds


def cheapest_boxes(circuits, chosen):
    """Cost of the smallest boxes that hold the chosen circuits, 314.16(B), counted from the runs.

    None when some box is too small in every size.
    """
    edition, total = circuits.shop.code.edition, 0
    for choice in box_choices(circuits.shop, circuits.catalogue):
        sizes, volume, grounds = [], 0.0, []
        for candidate in chosen:
            ground = candidate.awg if candidate.awg in ("14", "12", "10") else "10"
            for edge in candidate.edges:
                touches = [edge.start, edge.end].count(choice.box) + (choice.box in edge.way.via)
                volume += touches * 2 * allowance_in3(candidate.awg)
                grounds += touches * [ground]
            devices = [p for p in candidate.load.outlets if p.box == choice.box]
            volume += 2 * len(devices) * allowance_in3(candidate.awg)
        if grounds:
            quarters = max(0, len(grounds) - 4) if edition >= 2020 else 0
            volume += max(map(allowance_in3, grounds)) * (1 + quarters / 4)
        sizes = [cost for _, held, cost in choice.sizes if held >= volume * 400 - 1e-6]
        if not sizes:
            return None
        total += min(sizes)
    return total
