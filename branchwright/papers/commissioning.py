"""The commissioning sheet: what is verified and measured before use, with room to write it down.

What only eyes on the spot can tell comes from the code book; the tests of each circuit are common
practice, no source, where no section stands beside them. Volts, amperes, percent.
"""

from collections.abc import Iterator
from typing import Final

from branchwright.interlocks import interlocks
from branchwright.measures import gauge
from branchwright.metric_sentences import sentence
from branchwright.papers.paper import Field, Paper, Row
from branchwright.readings import reading_of
from branchwright.spaces import named_spaces
from branchwright.words import amps, clean, fed_by_words, joined, machine_words, plain
from models.plan import CircuitPlan, PanelPlan, Plan, SwitchPlan
from models.rules.code_book import Entry, code_book
from models.rules.not_checked import left_open

FIELDS = (
    Field("Of", 10), Field("No.", 5, 0), Field("When", 8), Field("At", 18), Field("Verify", 44),
    Field("Expected", 32), Field("Source", 24), Field("Measured", 11, by_hand=True),
    Field("Initials", 9, by_hand=True), Field("Date", 10, by_hand=True),
)  # fmt: skip
SHOP = "shop"
LOOK, DEAD, LIVE, RUN = "look", "dead", "live", "in use"
HABIT: Final = "common practice, no source"
TORQUE, LISTED, DIRECTORY = "terminal-torque", "listing-instructions", "panel-directory"
ISOLATED, TOGETHER = "subpanel-neutral-isolated", "mwbc-simultaneous-disconnect"
MARKED_WHITE = "white-reidentified"
LINE_TO_LINE: Final = 240

Check = tuple[str, str, str, str, str]  # when, at, verify, expected, source


def commissioning(plan: Plan) -> Paper:
    """The shop, then each panel, each circuit, each machine."""
    sheet = _Sheet(plan)
    parts: list[tuple[str, Iterator[Check]]] = [(SHOP, sheet.shop())]
    parts += [(panel.id, sheet.panel(panel)) for panel in plan.panels]
    parts += [(circuit.id, sheet.circuit(circuit)) for circuit in plan.circuits]
    rows: list[Row] = []
    for name, checks in parts:
        for number, (when, at, verify, expected, source) in enumerate(checks, start=1):
            rows.append(
                (clean(name), number, when, clean(at), verify, expected, source, "", "", "")
            )
    note = (
        "First what is looked at and measured dead, then live, then with the machines running."
        " Whoever may work on wiring measures; what is not as expected is mended before use."
    )
    return Paper("commissioning", "Commissioning", FIELDS, tuple(rows), note)


class _Sheet:
    """The checks of one plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.reading = reading_of(plan)
        self.names = machine_words(plan)
        self.entries = {entry.id: entry for entry in code_book()}

    def _source(self, entry: Entry | str) -> str:
        """Where the code asks it, in the plan's edition."""
        found = self.entries[entry] if isinstance(entry, str) else entry
        edition = self.plan.made_by.edition
        section = found.section_in(edition)
        if not section:
            return HABIT
        memory = ", from memory" if found.basis == "from memory" else ""
        return f"NEC {section} ({edition}){memory}"

    def shop(self) -> Iterator[Check]:
        """What only eyes on the spot can tell."""
        for entry in left_open(self.reading):
            if entry.open_because == "on the spot" and entry.section_in(self.reading.edition):
                asks, expected = sentence(clean(entry.asks)), sentence(entry.left_open)
                yield LOOK, entry.subject, asks, expected, self._source(entry)
        for device, keeps in interlocks(self.plan):
            says = f"{device[0].upper()}{device[1:]}: switch on one, then try the others"
            yield RUN, "interlock", says, keeps, HABIT

    def panel(self, panel: PanelPlan) -> Iterator[Check]:
        """One panel with what feeds it."""
        at = f"panel {panel.id}"
        feeder = next((one for one in self.plan.feeders if one.to == panel.id), None)
        if feeder:
            says = f"{plain(feeder.breaker_amps)} A, at {fed_by_words(self.plan, feeder)}"
            yield LOOK, at, "Breaker of the feeder", says, HABIT
        yield (
            LOOK, at, "Breakers, spaces and amperes as in the circuit directory, each described",
            "as printed", self._source(DIRECTORY),
        )  # fmt: skip
        yield LOOK, at, "Unused openings closed", "filler plates", HABIT
        yield (
            DEAD, at, "Lugs, bars and breakers tightened with a torque tool",
            "as marked on each", self._source(TORQUE),
        )  # fmt: skip
        if feeder:
            yield (
                DEAD, at, "Neutral bar to ground bar, feeder conductors off",
                "open, unless this panel is the service disconnect", self._source(ISOLATED),
            )  # fmt: skip
        yield LIVE, at, "A to B; A to neutral; B to neutral", "about 240; 120; 120 V", HABIT

    def circuit(self, circuit: CircuitPlan) -> Iterator[Check]:
        """One circuit, dead, live and in use."""
        yield from self._dead(circuit)
        yield from self._live(circuit)
        yield from self._running(circuit)

    def _dead(self, circuit: CircuitPlan) -> Iterator[Check]:
        breaker, wire = circuit.breaker, circuit.conductor
        at = f"{circuit.panel} {named_spaces(self.plan, circuit)}"
        kind = " GFCI" if breaker.gfci else ""
        poles = "1 pole" if breaker.poles == 1 else "2 poles"
        size = f"{gauge(wire.awg)} {clean(wire.insulation)}"
        says = f"{plain(breaker.amps)} A{kind}, {poles}, {size}"
        yield (
            LOOK,
            at,
            "Breaker and conductors, of a kind that the panel's label names",
            says,
            (self._source(LISTED)),
        )
        runs = [run for one in self.reading.pair(circuit) for run in one.runs]
        marked = [run.id for run in runs for one in run.conductors if one.marked]
        spares = [run.id for run in runs for one in run.conductors if one.role == "spare"]
        if white := sorted(set(marked) - set(spares)):
            yield (
                LOOK, joined(white), "Whites and other conductors that serve as hots, re-marked",
                "at every end", self._source(MARKED_WHITE),
            )  # fmt: skip
        if spares:
            yield LOOK, joined(spares), "Spare conductors", "capped and marked, both ends", HABIT
        boxes = joined(dict.fromkeys(o.box for o in self.reading.outlets_on(circuit)))
        yield DEAD, boxes, "Ground of each box and device to the ground bar", "near 0 Ω", HABIT
        yield (
            DEAD, at, f"Breaker off, nothing plugged in, lamps out: {_between(circuit)}",
            "open", HABIT,
        )  # fmt: skip
        yield DEAD, boxes, "Terminals tightened", "as marked on the device", self._source(TORQUE)

    def _live(self, circuit: CircuitPlan) -> Iterator[Check]:
        for volts in sorted({outlet.volts for outlet in self.reading.outlets_on(circuit)}):
            outlets = [o for o in self.reading.outlets_on(circuit) if o.volts == volts]
            for kind in dict.fromkeys(outlet.kind for outlet in outlets):
                at = joined(dict.fromkeys(o.yoke or o.box for o in outlets if o.kind == kind))
                yield from self._at(volts, kind, at)
        other = self.reading.partner(circuit)
        if other is not None:
            both = sorted((*circuit.fed_from, *other.fed_from))
            yield (
                LIVE,
                f"{circuit.panel} {named_spaces(self.plan, circuit, both)}",
                f"Hot of {clean(circuit.id)} to hot of {clean(other.id)}; both off with one move",
                "about 240 V; yes", self._source(TOGETHER),
            )  # fmt: skip
        for device in circuit.gfci_at:
            behind = [o for o in self.plan.outlets if o.protected_by == device]
            behind = [o for o in behind if o.circuit == circuit.id]
            places = joined(dict.fromkeys(o.yoke or o.box for o in behind))
            at = f"{circuit.panel} {named_spaces(self.plan, circuit, circuit.breaker.spaces)}"
            yield (
                LIVE, at if device == "breaker" else device,
                "Test button: it trips, and what it protects is dead; then reset",
                f"dead: {places}", self._source(LISTED),
            )  # fmt: skip
        switches = [one for one in self.plan.switches if one.circuit == circuit.id]
        for one in switches:
            yield LIVE, one.id, "Switches on and off", joined(self._controlled(one)), HABIT

    def _controlled(self, switch: SwitchPlan) -> Iterator[str]:
        """What a switch turns on and off: of a yoke that it has whole the yoke."""
        places = {o.id: o.yoke for o in self.plan.outlets}
        others = {yoke for outlet, yoke in places.items() if outlet not in switch.controls}
        yoked = (places.get(one) for one in switch.controls)
        named = (
            yoke if yoke and yoke not in others else one
            for one, yoke in zip(switch.controls, yoked, strict=True)
        )
        return iter(dict.fromkeys(named))

    @staticmethod
    def _at(volts: int, kind: str, at: str) -> Iterator[Check]:
        """Voltage and polarity at outlets of a kind."""
        if kind == "luminaire":
            yield LIVE, at, "Lights up; the hot on the centre contact of a lampholder", "yes", HABIT
        elif volts == LINE_TO_LINE:
            expected = "about 240 V; 120 V; 120 V"
            yield LIVE, at, "Hot to hot; each hot to ground", expected, HABIT
        else:
            expected = "about 120 V; 120 V; near 0 V"
            yield LIVE, at, "Hot to neutral; hot to ground; neutral to ground", expected, HABIT
            if kind == "receptacle":
                says = "hot on the narrow slot, neutral on the wide one"
                yield LIVE, at, "Polarity", says, HABIT

    def _running(self, circuit: CircuitPlan) -> Iterator[Check]:
        if circuit.voltage_drop_percent is not None and circuit.worst is not None:
            on = [self.names[m] for m in circuit.worst.state if m in circuit.machines]
            state = joined(on, " + ") or "every light"
            lost = f"{circuit.voltage_drop_percent:.2f} %"  # in the circuit: not in the feeder
            expected = f"at most {lost} below that in {clean(circuit.panel)} at the same time"
            yield RUN, "its far end", f"Voltage with {state} on, as planned", expected, HABIT
        for machine in self.plan.machines:
            if machine.circuit == circuit.id:
                planned = machine.amps_table or machine.amps_nameplate
                turns = self.reading.machines_of_shop[machine.id].motor_hp is not None
                yield (
                    RUN, machine.outlet or machine.hard_wired_at or "",
                    f"Current of {self.names[machine.id]} at work"
                    + "; the motor turns the right way" * turns,
                    f"no more than its nameplate; planned with {amps(planned)}", HABIT,
                )  # fmt: skip


def _between(circuit: CircuitPlan) -> str:
    """Between which conductors of a circuit that is off a meter finds nothing."""
    if len(circuit.fed_from) == 1:
        return "hot to neutral, hot to ground"
    roles = {wire.role for run in circuit.runs for wire in run.conductors}
    neutral = "each hot to neutral, " * ("neutral" in roles)
    return f"hot to hot, {neutral}each hot to ground"
