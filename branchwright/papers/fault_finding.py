"""Fault-finding cards: what to look at first, what to make dead, which boxes to open in what order.

The order is common practice, no source: what needs no cover off comes first; a fault lies between
the last place that is live and the first that is dead; nothing is opened before it is proved dead.
"""

from collections.abc import Iterator
from typing import NamedTuple

from branchwright import cautions
from branchwright.measures import length_words
from branchwright.papers.paper import Field, Paper, Row
from branchwright.readings import reading_of
from branchwright.sheets.pull_list import pulled_words
from branchwright.spaces import in_spaces
from branchwright.words import clean, joined, machine_words, plain
from models.answers.way_back import Stop, stops
from models.plan import CircuitPlan, OutletPlan, Plan, Run

FIELDS = (
    Field("Circuit", 10), Field("Step", 6, 0), Field("First", 11), Field("At", 11),
    Field("Do", 62), Field("Way back", 22), Field("Dead with it", 34),
    Field("Found", 12, by_hand=True),
)  # fmt: skip
LOOK, OFF, OPEN, AFTER = "look", "make dead", "open", "after"
BREAKER = "breaker"


def fault_finding(plan: Plan) -> Paper:
    """The steps of each circuit, one card after the other."""
    cards = Cards(plan)
    rows = tuple(row for circuit in plan.circuits for row in cards.card(circuit))
    note = (
        "A card for each circuit. What trips again has a cause: find it, and leave breaker and"
        " ground-fault protection as they are. Whoever may not work on wiring stops before a cover"
        " comes off. The order is common practice, no source."
    )
    return Paper("fault_finding", "Fault finding", FIELDS, rows, note)


class Step(NamedTuple):
    """A step of a card; `back` and `dead` in words, `stop` is the box that is opened in it."""

    first: str
    at: str
    says: str
    back: str = ""
    dead: str = ""
    stop: Stop | None = None


class Cards:
    """The cards of one plan."""

    def __init__(self, plan: Plan) -> None:
        self.reading = reading_of(plan)
        self.names = machine_words(plan)
        self.at: dict[str, list[str]] = {}
        for machine in plan.machines:
            if outlet := self.reading.outlet_of(machine):
                critical = ", critical" * self.reading.machines_of_shop[machine.id].critical
                self.at.setdefault(outlet.id, []).append(self.names[machine.id] + critical)

    def card(self, circuit: CircuitPlan) -> Iterator[Row]:
        """The rows of one circuit."""
        for number, step in enumerate(self.steps(circuit), start=1):
            at = clean(step.at)
            yield clean(circuit.id), number, step.first, at, step.says, step.back, step.dead, ""

    def steps(self, circuit: CircuitPlan) -> tuple[Step, ...]:
        """The steps of one circuit, in their order."""
        way = stops(self.reading, circuit)
        return (
            *self._look(circuit, way), *self._off(circuit, way), *self._open(circuit, way),
            *self._after(circuit),
        )  # fmt: skip

    def _look(self, circuit: CircuitPlan, way: tuple[Stop, ...]) -> Iterator[Step]:
        """What is looked at with every cover on."""
        spaces, on = in_spaces(self.reading.plan, circuit), self.reading.outlets_on(circuit)
        everything = self.dead_words(on)
        yield Step(
            LOOK, circuit.panel,
            f"Look at the breaker in {spaces}, {plain(circuit.breaker.amps)} A. One that tripped"
            " stands between on and off: switch off and unplug everything on the circuit, switch it"
            " fully off, then on, once. If it trips again leave it off, and make dead.",
            dead=everything,
        )  # fmt: skip
        for device in circuit.gfci_at:
            behind = [o for o in on if o.protected_by == device]
            if device == BREAKER:
                says = "The breaker is the ground-fault protection too; it is reset like that."
            else:
                says = f"Press reset at {clean(device)}; one that does not stay in has a cause."
            at = circuit.panel if device == BREAKER else device
            yield Step(LOOK, at, says, dead=self.dead_words(behind))
        yield Step(LOOK, "each place", self._places(on, way))

    def _places(self, on: list[OutletPlan], way: tuple[Stop, ...]) -> str:
        """How it is found out which places are dead, and what that tells."""
        plugged = {outlet.volts for outlet in on if outlet.kind == "receptacle"}
        kinds = {outlet.kind for outlet in on}
        switched = "luminaire" in kinds or any(outlet.switched_by for outlet in on)
        volts = joined(f"{volt} V" for volt in sorted(plugged))
        means = [
            *([f"a plug-in tester for {volts}, proved on a live receptacle"] if plugged else []),
            *(["every switch on"] if switched else []),
            *(["what is wired in switched on"] if "hard-wired" in kinds else []),
        ]
        seen = {outlet.box for outlet in on}  # a box of joints or switches shows nothing itself
        boxes = [stop.box for stop in reversed(way) if stop.box in seen]
        places = joined(boxes)
        says = f"With every cover on, with {joined(means, ' and ')}, look which places are dead"
        if len(boxes) == 1:
            return f"{says}; on this circuit there is {places} alone."
        return (
            f"{says}, from the panel outward: {places}. The fault lies between the last live and"
            " the first dead one; where only one is dead, in its device or its joints."
        )

    def _off(self, circuit: CircuitPlan, way: tuple[Stop, ...]) -> Iterator[Step]:
        """What has to be dead before a box is opened."""
        pair = self.reading.pair(circuit)
        told = " and ".join(f"{one.id} ({in_spaces(self.reading.plan, one)})" for one in pair)
        shared = ". Never open their shared neutral while either is live" if len(pair) > 1 else ""
        both = " both" if len(pair) > 1 else ""
        says = f"Switch off {clean(told)}, lock and tag{both}{shared}."
        yield Step(OFF, circuit.panel, says)
        beside: dict[str, list[str]] = {}
        for stop in way:
            for other in stop.beside:
                beside.setdefault(other, []).append(stop.box)
        for other, boxes in beside.items():
            fed = self.reading.circuits[other]
            yield Step(
                OFF, fed.panel,
                f"Before {joined(boxes, ' or ')} is opened: switch off, lock and tag"
                f" {clean(other)} ({in_spaces(self.reading.plan, fed)}) too: it is in there.",
                dead=self.dead_words(self.reading.outlets_on(fed)),
            )  # fmt: skip
        yield Step(OFF, "each box", cautions.TEST_BEFORE_TOUCH)
        boxes_on_way = {stop.box for stop in way}
        runs = [run for one in pair for run in one.runs]
        runs += [run for run in self.reading.plan.later_runs if run.end in boxes_on_way]
        if any(wire.role == "spare" for run in runs for wire in run.conductors):
            yield Step(OFF, "each box", cautions.SPARES)

    def _open(self, circuit: CircuitPlan, way: tuple[Stop, ...]) -> Iterator[Step]:
        """The boxes, the far ends first."""
        for stop in way:
            back = " ← ".join(map(clean, stop.way))
            says = self._box(circuit, stop)
            yield Step(OPEN, stop.box, says, back, self.dead_words(stop.dead), stop)

    def _box(self, circuit: CircuitPlan, stop: Stop) -> str:
        """What is opened when a box is dead, and what lies between it and the one before."""
        box = clean(stop.box)
        high = " (by a ladder)" if self.needs_ladder(stop) else ""
        if stop.run is None:
            return f"Dead: open {box}{high}. Its way to the panel is on no record: look for it."
        feeder, between = clean(stop.feeder), f"Between them: {run_words(stop.run)}."
        if stop.feeder == circuit.panel:
            return (
                f"Dead though the breaker is on: open {box}{high}. All well there: the next place"
                f" is the panel, for whoever may open it. {cautions.LUGS_STAY_LIVE} {between}"
            )
        return f"Dead, and {feeder} live: open {box}{high} first, then {feeder}. {between}"

    def needs_ladder(self, stop: Stop) -> bool:
        """Whether a box is out of reach from the floor."""
        return not self.reading.boxes[stop.box].reachable_from_floor

    def _after(self, circuit: CircuitPlan) -> Iterator[Step]:
        """What ends the work."""
        test = " and press the test button of its ground-fault protection" * bool(circuit.gfci_at)
        says = (
            f"Boxes closed, covers on, then switch on; measure at each place{test}. Write down what"
            " was found and when."
        )
        yield Step(AFTER, circuit.panel, says)

    def dead_words(self, outlets: list[OutletPlan] | tuple[OutletPlan, ...]) -> str:
        """Outlets by yoke or box, each with what takes its current there."""
        told: dict[str, list[str]] = {}
        for outlet in outlets:
            here = told.setdefault(clean(outlet.yoke or outlet.box), [])
            here += [name for name in self.at.get(outlet.id, ()) if name not in here]
            if outlet.kind == "luminaire":
                here.append("light")
        return joined(f"{at} ({joined(on)})" if on else at for at, on in told.items())


def run_words(run: Run) -> str:
    """A run between two boxes: what is pulled, how far, through what."""
    through = joined((*run.raceways, *(f"past {name}" for name in run.via)), ", ")
    far = length_words(run.length_ft) if run.length_ft else "back to back"
    said = f"{clean(run.id)}, {clean(pulled_words(run))}, {far}"
    return f"{said} through {through}" if through else said
