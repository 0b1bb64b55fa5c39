"""Machines that may come: what can be done for each now, as choices of the selection.

A machine that is to be hard-wired at a new box of the shop gets the least circuit of its own that
carries it in the heat of its way and within the drop wished. For it the plan chooses between

* nothing: the run is laid on that day, in surface EMT where walls are not opened again;
* spaces: the same, and the spaces of its breaker are kept in the panel;
* a raceway: spaces, and surface EMT with a pull string along the way now, empty;
* room: where no cable goes there, spaces, and room for its conductors in raceways of the shop file,
  with a pull string; a raceway that is not there yet may be laid larger for it;
* a run: spaces, and its cable pulled now, capped and marked at both ends.

One that comes with a plug may be *held*: a circuit that feeds a receptacle in reach carries it too
(`solver.plugs`), and there is nothing to buy. Or it gets a receptacle and a circuit of its own, the
same ways: in the place of a receptacle in reach, which on that day leaves its circuit, where that
can do without it and its box has the room; or, where nothing is laid now, in a box set beside one.

Each is a candidate that holds no item and stands in one selection with all circuits: it takes
spaces of a panel and room in boxes and raceways as they do, and counts what it costs now and, by
its likelihood and the shop's discount, on the day; what it costs to lay a raceway, or to lay it
larger, the selection adds. So what is kept for it is weighed against every circuit there could be.
No book has the price of a panel with more spaces: to keep none counts one unit more, so that
spaces are kept wherever that costs nothing else. Where no room is kept, what would go through a
raceway of the shop file is counted as surface EMT of its own. Where the shop file says
`prepare: nothing`, nothing is the only choice; with `everything` a run is pulled wherever there is
one to pull, and for a machine with a plug that no circuit holds spaces are kept at least. Money in
0.0001 USD, copper in 1e-8 lb.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from models.changeovers import counted_share
from models.part_keys import (
    CABLE_CONNECTOR,
    PULL_STRING,
    RACEWAY_CONNECTOR,
    breaker_key,
    cable_key,
    single_key,
)
from models.shop import FutureMachine
from solver.candidate import Candidate, Edge, ForLater, LaterChoice, Seat, WayShare
from solver.catalogue import RATINGS
from solver.changed_candidate import HUNDREDTHS, Parts, exchanged, run_copper
from solver.devices import BREAKER
from solver.load import Load
from solver.own_receptacles import OwnReceptacle, own_receptacles
from solver.points import Points
from solver.refusal import Refusal

if TYPE_CHECKING:
    from solver.new_circuits import NewCircuits

UNKEPT: Final = 1  # what no space kept counts, in the least unit
CARRIED: Final = (
    "it is carried about, so no receptacle is its own: where it will stand, say `at` and take out"
    " `portable`"
)
OUT_OF_REACH: Final = (
    "no receptacle that its plug {plug} fits is within its cord: add one, move the machine, or name"
    " a box where it is to be hard-wired"
)
NOT_THERE: Final = (
    "its plug {plug} does not fit {named}, which `plugs_into` names, or its cord does not come"
    " there: name another receptacle, or none"
)
NO_ROOM: Final = (
    "no circuit at a receptacle in reach has room for it, and it can have none of its own there: no"
    " breaker suits both it and a receptacle that its plug fits, no single run leads there, or a"
    " part of one has no price: add a receptacle for it, or name its box with `hard_wired_at`"
)
NOBODY: Final = Load((), {}, {}, {}, "", (), 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class LaterMachine:
    """A machine that may come, with all that can be done for it, or why there is no choice."""

    machine: FutureMachine
    choices: tuple[Candidate, ...]
    why: str | None = None


class _OnItsOwn(NamedTuple):
    """A machine with the least circuit of its own, one of the `circuits` of the shop where it is;
    `receptacle`: its own, where it has a plug.
    """

    machine: FutureMachine
    made: Candidate
    circuits: "NewCircuits"
    receptacle: OwnReceptacle | None = None


class LaterMachines:
    """The choices for all machines that may come to a shop."""

    def __init__(self, circuits: "NewCircuits") -> None:
        self.now, self.shop = circuits, circuits.shop

    @cached_property
    def all(self) -> tuple[LaterMachine, ...]:
        """Each machine that may come, in the order of their ids."""
        machines = sorted(self.shop.later.machines, key=lambda one: one.id)
        return tuple(map(self._of, machines))

    @property
    def choices(self) -> tuple[tuple[Candidate, ...], ...]:
        """For each machine what is to be chosen between."""
        return tuple(one.choices for one in self.all if one.choices)

    @property
    def least(self) -> int:
        """What no choice goes below, all machines together, in the first objective."""
        return sum(min(self.now.rank(made)[0] for made in choices) for choices in self.choices)

    def _of(self, machine: FutureMachine) -> LaterMachine:
        """What can be done for one machine."""
        at = machine.hard_wired_at
        if at is None:
            return self._plugged(machine)
        if [one.hard_wired_at for one in self.shop.later.machines].count(at) > 1:
            return LaterMachine(machine, (), f"two machines that may come are named for {at}")
        later = self.shop.later.model_copy(update={"machines": ()})
        machines = (*self.shop.machines, machine)
        then = self.shop.model_copy(update={"machines": machines, "later": later})
        points = Points(then)
        fixed = (p for p in points.points if machine.id in points.fixed.get(p.id, ()))
        point = next((p for p in fixed if p.kind == "hard-wired"), None)
        if point is None or any(m.hard_wired_at == at for m in self.shop.machines):
            return LaterMachine(machine, (), f"{at} has no blank yoke of a new box")
        circuits = type(self.now)(then, points, self.now.ways, self.now.catalogue)
        load = circuits.loads.of((point,), {machine.id: point.id})
        found = [
            choice
            for panel in self.now.sources
            if (made := self._alone(circuits, load, panel)) is not None
            for choice in self._everything(_OnItsOwn(machine, made, circuits))
        ]
        why = None if found else "no single run that carries it leads there, or it has no price"
        return LaterMachine(machine, tuple(self._wished(found)), why)

    def _plugged(self, machine: FutureMachine) -> LaterMachine:
        """What can be done for one that comes with a plug."""
        if machine.portable:
            return LaterMachine(machine, (), CARRIED)
        yokes = self.now.plugs.yokes[machine.id]
        if not yokes:
            why = OUT_OF_REACH if machine.receptacle is None else NOT_THERE
            return LaterMachine(
                machine, (), why.format(plug=machine.plug, named=machine.receptacle)
            )
        plugs = self.now.plugs
        stays = plugs.staying(machine.id)
        held = [
            self._held(machine, yoke, number, stays)
            for number, yoke in enumerate(yokes)
            if yoke in stays or plugs.may_be_held(machine.id, yoke)
        ]
        own = [
            choice
            for one in own_receptacles(self.now, machine, self._alone)
            for choice in self._everything(_OnItsOwn(machine, one.made, one.circuits, one))
        ]
        found = [*held, *_least_of_each_panel(own, self.now.rank)]
        wish = self.shop.later.prepare
        if wish == "nothing":
            found = [made for made in found if _choice_of(made) in ("nothing", "held")]
        elif wish == "everything" and any(made.places for made in found):
            found = [made for made in found if _choice_of(made) != "nothing"]
        if not any(_seat_of(made) is None for made in found):
            found.append(self._none(machine, len(yokes)))
        return LaterMachine(machine, tuple(found), NO_ROOM)

    def _held(
        self, machine: FutureMachine, yoke: str, number: int, stays: Mapping[str, str]
    ) -> Candidate:
        """A machine plugged in as it is; of several receptacles the nearest. `stays`: yokes where
        an existing circuit holds it that nothing may change on.
        """
        seat, always = Seat(machine.id, yoke, "held"), stays.get(yoke)
        what = ForLater(machine.id, "held", (), (), 0, 0, 0, 0, seat=seat, stays=always)
        return self._without_circuit(what, 0, number)

    def _none(self, machine: FutureMachine, receptacles: int) -> Candidate:
        """Nothing that could be told: chosen only where no receptacle suits."""
        what = ForLater(machine.id, "none", (), (), 0, 0, 0, 0)
        return self._without_circuit(what, UNKEPT, UNKEPT + receptacles)

    def _without_circuit(self, what: ForLater, cost: int, copper: int) -> Candidate:
        """A choice that buys nothing and takes nothing."""
        return Candidate(
            items=(),
            panel=self.now.sources[0],
            volts=120,
            breaker_amps=0,
            poles=1,
            gfci=None,
            awg="",
            edges=(),
            load=NOBODY,
            ground={},
            drop_percent=0.0,
            cost=cost,
            copper=copper,
            boxes={},
            raceways={},
            for_later=what,
        )

    def _wished(self, found: list[Candidate]) -> list[Candidate]:
        """The choices that the shop file leaves open."""
        wish = self.shop.later.prepare
        if wish == "least cost":
            return found
        kind: LaterChoice = "nothing" if wish == "nothing" else "run"
        left = [made for made in found if made.for_later and made.for_later.choice == kind]
        return left or found

    def _alone(self, circuits: "NewCircuits", load: Load, panel: str) -> Candidate | None:
        """The least circuit of its own: in cable where one can go, else through raceways."""
        for allowed in (frozenset[str](), circuits.everything):
            for amps in RATINGS:
                if isinstance(circuits.rating_unfit(amps, load), Refusal):
                    continue
                made = circuits.wired_alone(load, amps, allowed, panel)
                if made is not None:
                    return made
        return None

    # -- what can be done

    def _everything(self, one: _OnItsOwn) -> Iterator[Candidate]:
        """All that can be done for a machine with a circuit of its own."""
        yield from self._choices(one)
        yield from self._rooms(one)

    def _choices(self, one: _OnItsOwn) -> Iterator[Candidate]:
        """What can be done with the least circuit; nothing where it is no single run."""
        _, made, circuits, own = one
        if len(made.edges) != 1:
            return
        (edge,) = made.edges
        breaker = _breaker(made, own)
        cut = edge.way.length_cft + self.now.slack_cft(edge.start, edge.end)
        copper = run_copper(edge, made, self.now.slack_cft(edge.start, edge.end))
        drawn = _singles(edge, made, cut)
        size = circuits.later.surface(made.awg, made.ground["raceway"], edge.wires)
        laid = {} if size is None else {size: edge.way.length_cft}
        laid |= {RACEWAY_CONNECTOR: 2 * HUNDREDTHS}
        strung = _added(laid, {PULL_STRING: cut})
        pulled = {cable_key(made.awg, edge.wires): cut, CABLE_CONNECTOR: 2 * HUNDREDTHS}
        cable = edge.way.method == "cable"
        closed = self.shop.later.open_walls is False or not cable
        then = _added(breaker, laid, drawn) if closed else _added(breaker, pulled)
        then = _added(then, {} if own is None else own.box)
        if (size is not None or not closed) and self._are_priced(then):
            yield self._choice(one, "nothing", made, {}, then, (0, copper))
            yield self._choice(one, "space", made, {}, then, (0, copper))
        if own is not None and own.seat is None:
            return
        if cable and self._are_priced(_added(breaker, pulled)):
            yield self._choice(one, "run", made, pulled, breaker, (copper, 0))
        drawn_then = _added(breaker, drawn)
        if cable and size is not None and self._are_priced(_added(strung, drawn_then)):
            yield self._choice(one, "raceway", made, strung, drawn_then, (0, copper))

    def _rooms(self, one: _OnItsOwn) -> Iterator[Candidate]:
        """Room in raceways of the shop, where the least circuit is a single run through some: by
        every chain of them, and with larger conductors where these do among more others.
        """
        _, made, circuits, own = one
        if not _through_raceways(made) or (own is not None and own.seat is None):
            return
        for other in filter(_through_raceways, circuits.alone(made.load, made.panel)):
            (edge,) = other.edges
            cut = edge.way.length_cft + self.now.slack_cft(edge.start, edge.end)
            copper = run_copper(edge, other, self.now.slack_cft(edge.start, edge.end))
            strung = {PULL_STRING: cut}
            then = _added(_breaker(other, own), _singles(edge, other, cut))
            if self._are_priced(_added(strung, then)):
                yield self._choice(one, "room", other, strung, then, (0, copper))

    def _choice(
        self,
        one: _OnItsOwn,
        choice: LaterChoice,
        made: Candidate,
        now: Parts,
        then: Parts,
        copper: tuple[int, int],
    ) -> Candidate:
        """A choice as a candidate, by the circuit `made`, which for room may not be the least;
        `copper` of what is pulled now, and on the day.
        """
        machine, own = one.machine, one.receptacle
        share = counted_share(self.shop.later, machine)
        cost_now, cost_then = self._cost(now), self._cost(then)
        what = ForLater(
            machine=machine.id,
            choice=choice,
            now=tuple(sorted(now.items())),
            parts=tuple(sorted(then.items())),
            now_cost=cost_now,
            later_cost=cost_then,
            expected_cost=round(share * cost_then),
            expected_copper=round(share * copper[1]),
            configuration=None if own is None else own.configuration,
            seat=None if own is None else own.seat,
        )
        unkept = UNKEPT if choice == "nothing" else 0
        boxes = made.boxes if choice in ("run", "raceway", "room") else {}
        boxes = boxes if own is None else own.boxes_of(made)
        room = made.raceways if choice == "room" else {}
        return replace(
            made,
            items=(),
            load=NOBODY,
            cost=cost_now + what.expected_cost + unkept,
            copper=copper[0] + what.expected_copper + unkept,
            boxes=boxes,
            raceways={name: _kept(share) for name, share in room.items()},
            passages={},
            for_later=what,
        )

    def _are_priced(self, parts: Parts) -> bool:
        return all(self.now.catalogue.cents(key) is not None for key in parts)

    def _cost(self, parts: Parts) -> int:
        return sum(count * self.now.catalogue.book.cents(key) for key, count in parts.items())


def _choice_of(made: Candidate) -> LaterChoice:
    assert made.for_later is not None
    return made.for_later.choice


def _seat_of(made: Candidate) -> Seat | None:
    return None if made.for_later is None else made.for_later.seat


def _least_of_each_panel(
    found: Iterable[Candidate], rank: Callable[[Candidate], tuple[int, ...]]
) -> Iterator[Candidate]:
    """Choices, of those that ask nothing of any circuit the least of each kind and panel alone."""
    seen = set()
    for made in sorted(found, key=rank):
        kind = None if _seat_of(made) else (_choice_of(made), made.panel)
        if kind is None or kind not in seen:
            yield made
            seen.add(kind)


def _through_raceways(made: Candidate) -> bool:
    """Whether a circuit is a single run through raceways of the shop."""
    return [edge.way.method for edge in made.edges] == ["raceway"]


def _kept(share: WayShare) -> WayShare:
    """What is kept for a circuit: its conductors are counted once they are drawn in."""
    return replace(share, current_carrying=0, later=share.current_carrying)


def _breaker(made: Candidate, own: OwnReceptacle | None = None) -> Parts:
    """The breaker of a circuit, and the receptacle of a machine with a plug."""
    breaker = {breaker_key(made.breaker_amps, made.poles, made.gfci == BREAKER): HUNDREDTHS}
    return breaker if own is None else breaker | exchanged(own.configuration)


def _singles(edge: Edge, made: Candidate, cut: int) -> Parts:
    """The conductors of a run in a raceway, its ground with them."""
    wet = edge.way.wet
    wires = {single_key(made.awg, wet=wet): edge.wires * cut}
    return _added(wires, {single_key(made.ground["raceway"], wet=wet): cut})


def _added(*several: Parts) -> Parts:
    """Parts together."""
    found: Parts = {}
    for parts in several:
        for key, count in parts.items():
            found[key] = found.get(key, 0) + count
    return found
