"""Legs: the states that load the heavier leg most, however single poles are dealt to the two legs.

A small CP-SAT model that knows legs and how many spaces each has, but no single space: it is solved
again for each state that turns out worse. `solver.placement` then starts from these states.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from ortools.sat.python import cp_model

from solver.panel import leg_of
from solver.solve import Control

if TYPE_CHECKING:
    from solver.placement import Placement

SHARE: Final = 0.1  # of the effort, for each solve
SPACE_ON: Final[Mapping[str, int]] = {"A": 1, "B": 3}  # any space on each leg


def binding_states(placement: "Placement", control: Control) -> list[frozenset[str]]:
    """States that matter for the best deal, worst found last; by machines that run."""
    model = cp_model.CpModel()
    singles = [fed for fed in placement.new if fed.poles == 1]
    doubles = len(placement.new) - len(singles)
    on_a = {fed.id: model.new_bool_var(f"A[{fed.id}]") for fed in singles}
    for fed in singles:
        legs = {leg_of(space) for name, space in placement.at if name == fed.id}
        if len(legs) == 1:
            model.add(on_a[fed.id] == ("A" in legs))
        if fed.beside is not None and fed.beside in on_a:
            model.add(on_a[fed.id] + on_a[fed.beside] == 1)
    room_a = sum(leg_of(space) == "A" for space in placement.free)
    here = sum(on_a.values())
    model.add(here <= room_a - doubles)
    model.add(len(singles) - here <= len(placement.free) - room_a - doubles)
    heavier = model.new_int_var(0, 10**7, "heavier leg")
    dealt = {fed.id: SPACE_ON["AB"[n % 2]] for n, fed in enumerate(singles)}
    both = tuple(SPACE_ON.values())
    states: list[frozenset[str]] = []
    while not control.cut_short:
        spaces = {fed.id: (dealt[fed.id],) if fed.id in dealt else both for fed in placement.new}
        _, state = placement.worst(spaces)
        if state in states:
            break
        states.append(state)
        for leg in "AB":
            moving = sum(
                placement.amps(fed, state) * (on_a[fed.id] if leg == "A" else 1 - on_a[fed.id])
                for fed in singles
            )
            model.add(placement.fixed_amps(leg, state) + moving <= heavier)
        model.minimize(heavier)
        answer = control.run(model, SHARE)
        if not answer.found:
            break
        dealt = {name: SPACE_ON["A" if answer.solver.value(x) else "B"] for name, x in on_a.items()}
    return states
