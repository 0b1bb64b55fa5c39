"""What a plan says of each machine that may come: the choice, what else there was, the day. USD."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from models.changeovers import SPARE_MARK, counted_share
from models.part_keys import PULL_STRING
from models.plan import (
    THEN,
    Alternative,
    EmptyRaceway,
    HeldPlug,
    LaterCircuit,
    LaterMachinePlan,
    Run,
)
from solver.candidate import MONEY, Candidate, Seat
from solver.changed_candidate import HUNDREDTHS
from solver.changeover_drafts import takeoff_lines
from solver.circuit import Circuits
from solver.devices import BREAKER
from solver.draft import Drafter, feet3
from solver.later_machines import LaterMachine
from solver.later_rooms import Rooms, what
from solver.placement import kept_later
from solver.placing import PanelPlaced
from solver.points import yoke_of

WORDS: Final = {
    "nothing": "nothing now",
    "space": "{spaces} kept in the panel",
    "raceway": "an empty raceway with a pull string laid now and {spaces} kept",
    "room": "room for its conductors kept in {raceways}, with a pull string, and {spaces} kept",
    "run": "its run pulled now, capped and marked, and {spaces} kept",
    "held": "plugged in at {outlet} on {circuit} as it is",
}
SPACES: Final = {1: "a space", 2: "two spaces"}


def later_drafts(
    circuits: Circuits,
    rooms: Rooms,
    drafter: Drafter,
    placed: Mapping[str, PanelPlaced],
    held: Mapping[str, HeldPlug],
    allowed: frozenset[Seat],
) -> tuple[LaterMachinePlan, ...] | None:
    """Every machine that may come; None where there is none.

    `held`: where those are plugged in that a circuit holds; `allowed`: what the circuits allow.
    """
    of = {what(made).machine: made for made in rooms.later if made.is_told_later}
    seats = {name: seat.yoke for name, made in of.items() if (seat := what(made).seat)}
    drafts = []
    for one in circuits.deciding().later_machines.all:
        made = of.get(one.machine.id)
        others = {yoke for name, yoke in seats.items() if name != one.machine.id}
        possible = (
            other
            for other in one.choices
            if (seat := what(other).seat) is None or (seat in allowed and seat.yoke not in others)
        )
        here = replace(one, choices=() if made is None else tuple(possible))
        if made is not None and what(made).choice == "held":
            drafts.append(_held_draft(here, held[one.machine.id], circuits, rooms))
        else:
            drafts.append(_draft(here, made, circuits, rooms, drafter, placed))
    return tuple(drafts) or None


def undecided(one: LaterMachine, circuits: Circuits) -> LaterMachinePlan:
    """What could be done for a machine, as far as it does not hang on a plan: raceways that are
    not there yet would be laid for it.
    """
    return _told_own(one, circuits, Rooms(circuits, (), ()))


def _told_own(one: LaterMachine, circuits: Circuits, rooms: Rooms) -> LaterMachinePlan:
    """What could be done with a circuit of its own."""
    told, own = _unknown(one, circuits), _own(one)
    if not own:
        return told
    least = min(own, key=circuits.rank)
    return told.model_copy(
        update={
            "box": least.edges[0].end,
            "alternatives": _alternatives(one, least, told.share, circuits, rooms),
            "circuit": _circuit(least, circuits),
            "yoke": _freed(least),
            "configuration": what(least).configuration,
            "why": None,
        }
    )


def _own(one: LaterMachine) -> list[Candidate]:
    """The choices with a circuit of its own."""
    return [made for made in one.choices if made.edges]


def _held_draft(
    one: LaterMachine, held: HeldPlug, circuits: Circuits, rooms: Rooms
) -> LaterMachinePlan:
    """What is said of a machine that a circuit holds: nothing is bought for it."""
    told = _told_own(one, circuits, rooms)
    says = WORDS["held"].format(outlet=held.outlet, circuit=held.circuit)
    costs_nothing = Alternative(says=says, cost_now_usd=0.0, cost_later_usd=0.0, expected_usd=0.0)
    yokes = circuits.points.yokes
    return told.model_copy(
        update={
            "box": yokes[yoke_of(held.outlet, yokes)].box,
            "chosen": says,
            "choice": "held",
            "alternatives": (costs_nothing, *told.alternatives),
            "circuit": None,
            "yoke": None,
            "configuration": None,
            "held": held,
            "why": None,
        }
    )


def _unknown(one: LaterMachine, circuits: Circuits) -> LaterMachinePlan:
    """What the shop says of a machine."""
    machine, later = one.machine, circuits.shop.later
    return LaterMachinePlan(
        machine=machine.id,
        box=machine.hard_wired_at,
        chosen=None,
        choice=None,
        alternatives=(),
        likelihood=machine.likelihood,
        counted=counted_share(later, machine) if later.discount else None,
        why=one.why,
    )


def _draft(
    one: LaterMachine,
    made: Candidate | None,
    circuits: Circuits,
    rooms: Rooms,
    drafter: Drafter,
    placed: Mapping[str, PanelPlaced],
) -> LaterMachinePlan:
    """What is said of one machine."""
    told = _unknown(one, circuits)
    if made is None:
        return told
    found = rooms.told(made)
    assert found is not None, "what was chosen goes in"
    paid, laid = found
    which, book = what(paid), circuits.catalogue.book
    return told.model_copy(
        update={
            "box": made.edges[0].end,
            "yoke": _freed(made),
            "configuration": which.configuration,
            "why": None,
            "chosen": _says(made),
            "choice": which.choice,
            "alternatives": _alternatives(one, made, told.share, circuits, rooms),
            "panel": made.panel,
            "panel_spaces": placed[made.panel].placed.spaces.get(kept_later(which.machine), ()),
            "circuit": _circuit(made, circuits),
            "run": _run(which.machine, made, drafter) if which.choice == "run" else None,
            "raceway": _raceway(made) if which.choice == "raceway" else None,
            "room": _room(which.machine, made, drafter, rooms) if which.choice == "room" else None,
            "laid": laid,
            "takeoff_now": takeoff_lines(book, dict(which.now)),
            "takeoff": takeoff_lines(book, dict(which.parts)),
        }
    )


def _freed(made: Candidate) -> str | None:
    """The receptacle that leaves its circuit for a choice."""
    seat = what(made).seat
    return None if seat is None else seat.yoke


def _alternatives(
    one: LaterMachine, chosen: Candidate, share: float, circuits: Circuits, rooms: Rooms
) -> tuple[Alternative, ...]:
    """The least of each choice, and of its own choice the chosen one; the least first."""
    found = {_says(chosen): rooms.told(chosen)}
    for other in sorted(_own(one), key=circuits.rank):
        if found.get(_says(other)) is None:
            found[_says(other)] = rooms.told(other)
    paid = [told[0] for told in found.values() if told is not None]
    return tuple(_alternative(made, share) for made in sorted(paid, key=circuits.rank))


def _says(made: Candidate) -> str:
    """A choice in words."""
    *others, last = made.raceways or ("",)
    raceways = " and ".join(filter(None, (", ".join(others), last)))
    return WORDS[what(made).choice].format(spaces=SPACES[made.poles], raceways=raceways)


def _alternative(made: Candidate, share: float) -> Alternative:
    which = what(made)
    now, day = round(which.now_cost / MONEY, 2), round(which.later_cost / MONEY, 2)
    return Alternative(
        says=_says(made),
        cost_now_usd=now,
        cost_later_usd=day,
        expected_usd=round(now + share * day, 2),
    )


def _circuit(made: Candidate, circuits: Circuits) -> LaterCircuit:
    """The circuit that it then gets."""
    (edge,) = made.edges
    return LaterCircuit(
        breaker_amps=float(made.breaker_amps),
        poles=made.poles,
        breaker_gfci=made.gfci == BREAKER,
        awg=made.awg,
        ground_awg=made.ground[edge.way.method],
        method=edge.way.method,
        path=tuple(map(feet3, edge.way.path)),
        length_ft=edge.way.length_cft / HUNDREDTHS,
        allowance_ft=circuits.slack_cft(edge.start, edge.end) / HUNDREDTHS,
        ambient_c=edge.way.ambient_c,
        drop_percent=round(made.drop_percent, 2),
    )


def _run(machine: str, made: Candidate, drafter: Drafter) -> Run:
    """The run that is pulled now: every conductor but the ground is capped and marked."""
    (edge,) = made.edges
    run = drafter.run(f"{machine}.1", edge, made, made.ground[edge.way.method])
    capped = tuple(
        wire
        if wire.role == "ground"
        else wire.model_copy(update={"role": "spare", "marked": SPARE_MARK})
        for wire in run.conductors
    )
    return run.model_copy(update={"conductors": capped})


def _room(machine: str, made: Candidate, drafter: Drafter, rooms: Rooms) -> Run:
    """The run that room is kept for, as it will lie among all that is prepared."""
    (edge,) = made.edges
    run = drafter.run(f"{machine}.1", edge, made, made.ground["raceway"])
    counted = max(map(rooms.counted_then, edge.way.raceways))
    return run.model_copy(update={"stage": THEN, "current_carrying": counted})


def _raceway(made: Candidate) -> EmptyRaceway:
    """The raceway that is laid now."""
    (edge,) = made.edges
    now = dict(what(made).now)
    key = next(key for key in now if key.startswith("EMT "))
    kind, _, size = key.partition(" ")
    return EmptyRaceway(
        kind=kind,
        trade_size=size,
        length_ft=edge.way.length_cft / HUNDREDTHS,
        string_ft=now[PULL_STRING] / HUNDREDTHS,
    )
