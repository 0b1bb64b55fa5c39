"""What changed from an older plan to a newer one of the same shop, thing by thing, numbered.

Which circuits are the same, what moved between them and which machine is plugged in elsewhere is
told by `moves`; here it is gathered by the things one can point at on a sheet (a circuit with its
breaker, a run, a box, a panel), with what else of them is otherwise. Feet.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple, TypeVar

from pydantic import Field

from models.compare.moves import Moves, build_of, moves, same_circuits
from models.plan import (
    BoxPlan,
    CircuitPlan,
    FeederPlan,
    MachinePlan,
    OutletPlan,
    PanelPlan,
    Plan,
    RacewayPlan,
    Run,
    YokePlan,
)
from models.plan.part import Part, Xyz

Kind = Literal["circuit", "run", "box", "panel", "feeder", "raceway", "plan"]
Value = str | float | Xyz | None
NEAR_FT = 0.005
FEEDER_WIRES = ("hot", "neutral", "ground")  # in the order they are told
_Of = TypeVar("_Of")


class Aspect(Part):
    """One way in which a thing is otherwise; `key` says which, `of` a part of the thing."""

    key: str
    before: Value = None
    after: Value = None
    of: str | None = None


class Pointed(Part):
    """A thing of the newer plan that is marked on drawings."""

    kind: Literal["circuit", "run", "box", "panel", "raceway"]
    id: str


class Change(Part):
    """A numbered change of one thing; ids are those of the newer plan, of what is gone the older's.

    `fate` tells a thing that came or went; the aspects of one that stays say what is otherwise.
    """

    number: int
    kind: Kind
    thing: str
    circuit: str | None = Field(description="The circuit it is listed under; null: none")
    fate: Literal["new", "gone", "changed"]
    aspects: tuple[Aspect, ...]
    marked: tuple[Pointed, ...]


class _Found(NamedTuple):
    """A change before it has its number."""

    kind: Kind
    thing: str
    circuit: str | None
    fate: Literal["new", "gone", "changed"]
    aspects: list[Aspect]
    marked: tuple[Pointed, ...] = ()


def changes(old: Plan, new: Plan) -> tuple[Change, ...]:
    """Every change: circuit by circuit in the newer plan's order, then what is of no circuit."""
    found = list(_Differences(old, new).all())
    order = [circuit.id for circuit in new.circuits]
    gone = [circuit.id for circuit in old.circuits]
    rank = {name: place for place, name in enumerate(order)}

    def place(one: _Found) -> tuple[int, int]:
        """Circuits that stay or come, then circuits that are gone, then the rest."""
        if one.kind == "circuit" and one.fate == "gone":
            return len(order), gone.index(one.thing)
        return (rank[one.circuit], 0) if one.circuit in rank else (len(order) + 1, 0)

    return tuple(
        Change(number=number, **one._asdict())
        for number, one in enumerate(sorted(found, key=place), start=1)
    )


class _Differences:
    """Both plans, and which circuit of the older one is which of the newer."""

    def __init__(self, old: Plan, new: Plan) -> None:
        self.old, self.new = old, new
        self.same = same_circuits(old, new)
        self.was = {now: name for name, now in self.same.items()}
        self.moves: Moves = moves(("before", "after"), old, new)
        self.before = {circuit.id: circuit for circuit in old.circuits}
        self.boxes_before = {box.id: box for box in old.boxes}

    def all(self) -> Iterator[_Found]:
        """In the order of kinds; `changes` puts them under their circuits."""
        yield from self._circuits()
        yield from self._runs()
        yield from self._boxes()
        yield from self._panels()
        yield from self._feeders()
        yield from self._raceways()
        for aspect in _if_other(
            "edition", self.old, self.new, lambda p: f"NEC {p.made_by.edition}"
        ):
            yield _Found("plan", "", None, "changed", [aspect])

    def _circuits(self) -> Iterator[_Found]:
        for circuit in self.new.circuits:
            mark = Pointed(kind="circuit", id=circuit.id)
            name = self.was.get(circuit.id)
            if name is None:
                runs = tuple(Pointed(kind="run", id=run.id) for run in circuit.runs)
                yield _Found("circuit", circuit.id, circuit.id, "new", [], (mark, *runs))
            elif aspects := list(_circuit(self.before[name], circuit, self.same)):
                yield _Found("circuit", circuit.id, circuit.id, "changed", aspects, (mark,))
        for circuit in self.old.circuits:
            if circuit.id not in self.same:
                yield _Found("circuit", circuit.id, None, "gone", [])

    def _runs(self) -> Iterator[_Found]:
        """Runs of circuits that stay; two that share a neutral share their runs. Then those pulled
        now for machines that may come.
        """
        done: set[str] = set()
        there = {circuit.id: circuit for circuit in self.new.circuits}
        for circuit in self.new.circuits:
            pair = [circuit.id, *([circuit.multiwire_with] if circuit.multiwire_with else [])]
            stay = [name for name in pair if name in self.was and name not in done]
            done.update(stay)
            before = [run for name in stay for run in self.before[self.was[name]].runs]
            after = [(name, run) for name in stay for run in there[name].runs]
            yield from _of_circuits(before, after, circuit.id)
        later = [(None, run) for run in self.new.later_runs]
        yield from _of_circuits(self.old.later_runs, later, None)

    def _boxes(self) -> Iterator[_Found]:
        """Boxes, with their devices, what is plugged in, and the circuits of all that."""
        told = self._at_boxes()
        there = {box.id for box in self.new.boxes}
        for box in self.new.boxes:
            mark = (Pointed(kind="box", id=box.id),)
            old = self.boxes_before.get(box.id)
            aspects = [] if old is None else [*_box(old, box), *told.get(box.id, [])]
            if old is None or aspects:
                fate: Literal["new", "changed"] = "new" if old is None else "changed"
                yield _Found("box", box.id, _circuit_in(self.new, box), fate, aspects, mark)
        for box in self.old.boxes:
            if box.id not in there:
                yield _Found("box", box.id, None, "gone", [])

    def _at_boxes(self) -> dict[str, list[Aspect]]:
        """What came, went or moved at the boxes, by box."""
        found: dict[str, list[Aspect]] = defaultdict(list)
        for box, aspect in (*self._devices(), *self._machines(), *self._switches()):
            found[box].append(aspect)
        return found

    def _devices(self) -> Iterator[tuple[str, Aspect]]:
        """Receptacles and lights: on another circuit, new, gone, protected elsewhere."""
        box_of = {o.yoke or o.box: o.box for o in (*self.old.outlets, *self.new.outlets)}
        for moved in self.moves.moved:
            for thing in moved.things:
                aspect = Aspect(key="circuit", before=moved.before, after=moved.after, of=thing)
                yield box_of[thing], aspect
        for things, key in ((self.moves.only_before, "gone"), (self.moves.only_after, "new")):
            for thing in things:
                yield box_of[thing], Aspect(key=key, of=thing)
        guards = {outlet.id: outlet for outlet in self.old.outlets}
        told: dict[tuple[str, Aspect], None] = {}  # once for both halves of a yoke
        for outlet in self.new.outlets:
            name, old = outlet.yoke or outlet.id, guards.get(outlet.id, outlet)
            for aspect in _if_other("reset", old, outlet, lambda one: one.protected_by, of=name):
                told[outlet.box, aspect] = None
        yield from told

    def _machines(self) -> Iterator[tuple[str, Aspect]]:
        """Machines: plugged in elsewhere, at another voltage, new, gone."""
        seats = {seat.machine: (seat.before, seat.after) for seat in self.moves.seats}
        before, after = ({m.id: m for m in plan.machines} for plan in (self.old, self.new))
        seats |= {name: (None, _seat(one)) for name, one in after.items() if name not in before}
        seats |= {name: (_seat(one), None) for name, one in before.items() if name not in after}
        outlets = (*self.new.outlets, *self.old.outlets)
        for name, (was, now) in seats.items():
            if box := _box_of(outlets, now or was):
                yield box, Aspect(key="machine", before=was, after=now, of=name)
        for name in sorted(before.keys() & after.keys()):
            box = _box_of(outlets, _seat(after[name]))
            for aspect in _if_other(
                "machine volts", before[name], after[name], lambda one: f"{one.volts} V", of=name
            ):
                yield from [(box, aspect)] if box else []

    def _switches(self) -> Iterator[tuple[str, Aspect]]:
        """Switches that switch something else."""
        switches = {switch.id: switch for switch in self.old.switches}
        for switch in self.new.switches:
            if old := switches.get(switch.id):
                for aspect in _if_other(
                    "switches", old, switch, lambda one: ", ".join(one.controls), of=switch.id
                ):
                    yield switch.box, aspect

    def _panels(self) -> Iterator[_Found]:
        before = {panel.id: panel for panel in self.old.panels}
        for panel in self.new.panels:
            mark = (Pointed(kind="panel", id=panel.id),)
            old = before.pop(panel.id, None)
            if old is None:
                yield _Found("panel", panel.id, None, "new", [], mark)
            elif aspects := list(_panel(old, panel)):
                yield _Found("panel", panel.id, None, "changed", aspects, mark)
        for name in before:
            yield _Found("panel", name, None, "gone", [])

    def _feeders(self) -> Iterator[_Found]:
        before = {feeder.id: feeder for feeder in self.old.feeders}
        for feeder in self.new.feeders:
            mark = (Pointed(kind="panel", id=feeder.to),)
            old = before.pop(feeder.id, None)
            if old is None:
                yield _Found("feeder", feeder.id, None, "new", [], mark)
                continue
            aspects = list(_feeder(old, feeder))
            if aspects:
                yield _Found("feeder", feeder.id, None, "changed", aspects, mark)
        for name in before:
            yield _Found("feeder", name, None, "gone", [])

    def _raceways(self) -> Iterator[_Found]:
        before = {raceway.id: raceway for raceway in self.old.raceways}
        for raceway in self.new.raceways:
            mark = (Pointed(kind="raceway", id=raceway.id),)
            old = before.pop(raceway.id, None)
            if old is None:
                yield _Found("raceway", raceway.id, None, "new", [], mark)
            elif aspects := list(_raceway(old, raceway)):
                yield _Found("raceway", raceway.id, None, "changed", aspects, mark)
        for name in before:
            yield _Found("raceway", name, None, "gone", [])


def _if_other(
    key: str, old: _Of, new: _Of, says: Callable[[_Of], str | None], of: str | None = None
) -> Iterator[Aspect]:
    """The aspect, where the older and the newer are not said alike."""
    before, after = says(old), says(new)
    if before != after:
        yield Aspect(key=key, before=before, after=after, of=of)


def _place(old: Xyz, new: Xyz) -> Iterator[Aspect]:
    """Places that are not the same to 0.01 ft."""
    if any(abs(a - b) > NEAR_FT for a, b in zip(old, new, strict=True)):
        yield Aspect(key="place", before=old, after=new)


def _circuit(old: CircuitPlan, new: CircuitPlan, same: dict[str, str]) -> Iterator[Aspect]:
    """Its id, its breaker and place, how it is built, what it feeds."""
    yield from _if_other("id", old, new, lambda c: c.id)
    yield from _if_other("spaces", old, new, lambda c: ", ".join(map(str, c.fed_from)))
    now = build_of(new)
    for key, was in build_of(old).items():
        if was != now[key]:
            yield Aspect(key=key, before=was, after=now[key])
    yield from _if_other("poles", old, new, lambda c: str(c.breaker.poles))
    yield from _if_other("kind", old, new, lambda c: c.breaker.kind)
    yield from _if_other("tie", old, new, lambda c: "a handle tie" * c.breaker.handle_tie)
    partner = same.get(old.multiwire_with or "", old.multiwire_with)
    if partner and new.multiwire_with and partner != new.multiwire_with:
        yield Aspect(key="neutral with", before=partner, after=new.multiwire_with)
    yield from _if_other("feeds", old, new, lambda c: c.says)


def _of_circuits(
    before: Sequence[Run], after: Sequence[tuple[str | None, Run]], circuit: str | None
) -> Iterator[_Found]:
    """Runs of the same circuits: those with both ends alike first, then those to the same box."""
    left = list(before)
    taken: dict[str, Run] = {}
    for same_start in (True, False):
        for _, run in after:
            old = None if run.id in taken else _counterpart(run, left, same_start)
            if old is not None:
                left.remove(old)
                taken[run.id] = old
    for of, run in after:
        mark = (Pointed(kind="run", id=run.id),)
        old = taken.get(run.id)
        if old is None:
            yield _Found("run", run.id, of, "new", [_ends(run)], mark)
        elif aspects := list(_run(old, run)):
            yield _Found("run", run.id, of, "changed", [_ends(run), *aspects], mark)
    for run in left:
        yield _Found("run", run.id, circuit, "gone", [_ends(run)])


def _counterpart(run: Run, left: Sequence[Run], same_start: bool) -> Run | None:
    return next(
        (one for one in left if one.end == run.end and not (same_start and one.start != run.start)),
        None,
    )


def _ends(run: Run) -> Aspect:
    """From where to where a run goes; what people call it by."""
    return Aspect(key="ends", before=run.start, after=run.end)


def _run(old: Run, new: Run) -> Iterator[Aspect]:
    yield from _if_other("from", old, new, lambda run: run.start)
    if old.start == new.start and (old.path, old.via) != (new.path, new.via):
        yield Aspect(key="way", before=old.length_ft, after=new.length_ft)
    yield from _if_other("through", old, new, lambda run: ", ".join(run.raceways))
    yield from _if_other("pull", old, new, lambda run: run.make)
    yield from _if_other("conductors", old, new, _wires)


def _wires(run: Run) -> str:
    """Each conductor: size, colour, and how its ends are marked."""
    return ", ".join(
        f"{wire.awg} {wire.colour or wire.role}" + (f" as {wire.marked}" if wire.marked else "")
        for wire in run.conductors
    )


def _box(old: BoxPlan, new: BoxPlan) -> Iterator[Aspect]:
    yield from _if_other("wall", old, new, lambda box: box.wall)
    yield from _place(old.place, new.place)
    yield from _if_other("size", old, new, lambda box: box.box)
    before = {yoke.id: yoke for yoke in old.yokes}
    for yoke in new.yokes:
        if yoke.id in before:
            yield from _if_other("device", before[yoke.id], yoke, _device, of=yoke.id)


def _device(yoke: YokePlan) -> str:
    words = ("GFCI" if yoke.gfci else "", yoke.device, yoke.configuration or "")
    return " ".join(word for word in words if word)


def _panel(old: PanelPlan, new: PanelPlan) -> Iterator[Aspect]:
    """Its place and ratings, and what spaces are kept for; circuits are told by themselves."""
    yield from _place(old.place, new.place)
    yield from _if_other("bus", old, new, lambda panel: f"{panel.bus_amps:g} A")
    yield from _if_other(
        "main", old, new, lambda panel: f"{panel.main.kind} {panel.main.amps or ''}"
    )
    before, after = ({s.space: s for s in one.spaces if not s.circuit} for one in (old, new))
    for space in sorted(before.keys() & after.keys()):
        pair = before[space], after[space]
        yield from _if_other("kept", *pair, lambda s: s.reserved_for, of=f"space {space}")


def _feeder(old: FeederPlan, new: FeederPlan) -> Iterator[Aspect]:
    yield from _if_other("from", old, new, lambda feeder: feeder.source)
    yield from _if_other("feeder breaker", old, new, lambda feeder: f"{feeder.breaker_amps:g} A")
    yield from _if_other("conductors", old, new, _feeder_wires)
    if abs(old.length_ft - new.length_ft) > NEAR_FT:
        yield Aspect(key="way", before=old.length_ft, after=new.length_ft)


def _feeder_wires(feeder: FeederPlan) -> str:
    """Its conductors by what they are for, in whatever order a file has them."""
    wires = feeder.conductors
    told = [f"{role} {wires[role]}" for role in FEEDER_WIRES if role in wires]
    more = [wires[role] for role in sorted(wires) if role not in FEEDER_WIRES]
    return ", ".join((*told, *more))


def _raceway(old: RacewayPlan, new: RacewayPlan) -> Iterator[Aspect]:
    yield from _if_other("size", old, new, lambda way: f"{way.kind} {way.trade_size}")
    if (old.start, old.end, old.path) != (new.start, new.end, new.path):
        yield Aspect(key="way", before=old.length_ft, after=new.length_ft)


def _seat(machine: MachinePlan) -> str | None:
    return machine.outlet or machine.hard_wired_at


def _circuit_in(plan: Plan, box: BoxPlan) -> str | None:
    """The first circuit in a box: that of its first yoke, outlet or conductor."""
    found = [yoke.circuit for yoke in box.yokes if yoke.circuit]
    found += [outlet.circuit for outlet in plan.outlets if outlet.box == box.id]
    found += [conductor.circuit for conductor in box.conductors]
    return next(iter(found), None)


def _box_of(outlets: Sequence[OutletPlan], seat: str | None) -> str | None:
    """The box of an outlet, or the box itself where a machine is wired."""
    return next((o.box for o in outlets if seat in (o.id, o.box)), None)
