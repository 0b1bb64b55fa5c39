"""Rows of the selection for machines that may come: one choice each, where circuits allow it."""

from collections.abc import Sequence
from itertools import combinations

from ortools.sat.python import cp_model

from solver.candidate import Candidate, Seat


def define_choices(
    model: cp_model.CpModel,
    built: Sequence[cp_model.IntVar],
    later: Sequence[Sequence[Candidate]],
) -> None:
    """Σ x over what can be done for machine m = 1, for every machine that may come.

    `built`: of a pool that ends with these choices, one machine after the other.
    """
    built = built[len(built) - sum(map(len, later)) :]
    for choices in later:
        model.add_exactly_one(built[: len(choices)])
        built = built[len(choices) :]


def define_seats(
    model: cp_model.CpModel, pool: Sequence[Candidate], built: Sequence[cp_model.IntVar]
) -> None:
    """What is done for a machine with a plug asks for a circuit that allows it: y ≤ Σ x.

    A yoke is for one of them, and a circuit holds one: y + y' + Σ x ≤ 2 over those with both.
    """
    later = [(made.for_later, chosen) for made, chosen in zip(pool, built, strict=True)]
    asking = [(one.seat, one.stays, chosen) for one, chosen in later if one and one.seat]
    if not asking:
        return
    allowing: dict[Seat, list[cp_model.IntVar]] = {}
    holding: dict[str, set[int]] = {seat.yoke: set() for seat, _, _ in asking}
    for number, made in enumerate(pool):
        for seat in made.allows:
            allowing.setdefault(seat, []).append(built[number])
        for point in made.load.points:
            if point.id in holding:
                holding[point.id].add(number)
    for seat, stays, chosen in asking:
        if stays is None:
            model.add(chosen <= sum(allowing.get(seat, [])))
    for (one, its, here), (other, own, there) in combinations(asking, 2):
        if one.machine == other.machine:
            continue
        if one.yoke == other.yoke or (its is not None and its == own):
            model.add_at_most_one(here, there)
        elif one.how == other.how == "held":
            both = holding[one.yoke] & holding[other.yoke]
            if both:
                model.add(here + there + sum(built[n] for n in sorted(both)) <= 2)
