"""Splices: only conductors of one circuit and one role meet, and each is in one splice at most.

The two circuits of a multiwire pair count as one here, with a hot each.
"""

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple, Self

from models.formulas.receptacles import receptacle
from models.plan import BoxPlan, Finding, Role, YokePlan
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.rules.switching import groups_on, in_row, switched_for
from models.switching import box_of

SPLICES = RuleText(
    "splices",
    "What meets in a box",
    "A splice joins conductors of one circuit and one role: never a hot with a neutral or a ground,"
    " never two circuits but for the neutral and ground that a multiwire pair shares. A conductor"
    " called spliced is in one splice, any other in none.",
    "NEC 110.14(B), 200.4",
    "code",
    rests_on_memory=True,
)
RULES = registry(SPLICES)
LOAD_SIDE = " load"
FED_BY_RUNS = frozenset({"hot", "hot2", "neutral", "ground"})
LINE_TO_LINE = 240
MEETING = 2  # conductors and pigtails together, to be a splice


class Wired(NamedTuple):
    """Circuits by pairs that share a neutral: one id for both, and the hot of each of the two.

    `volts`: of every circuit.
    """

    pair_of: dict[str, str]
    hots: dict[str, Role]
    volts: dict[str, int]

    @classmethod
    def of(cls, reading: Reading) -> Self:
        """The circuits of a plan."""
        pairs = [(circuit, reading.pair(circuit)) for circuit in reading.plan.circuits]
        return cls(
            {circuit.id: min(one.id for one in pair) for circuit, pair in pairs},
            {circuit.id: reading.hot_of(circuit) for circuit, pair in pairs if len(pair) > 1},
            {circuit.id: circuit.volts for circuit, _ in pairs},
        )

    def together(self, one: str, other: str | None) -> bool:
        """Whether two circuits are one or share their neutral."""
        return other is not None and self.pair_of[one] == self.pair_of.get(other)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each splice that joins what must not meet, or misses a conductor."""
    wired = Wired.of(reading)
    for box in reading.plan.boxes:
        here = [run for _, run in reading.runs_at.get(box.id, [])]
        via = {run.id for run in here if box.id in run.via}
        arriving = {run.id for run in here if run.end == box.id}
        ends = _end_faults(box, via, {run.id for run in reading.plan.later_runs})
        faults = (*_faults(box, wired, reading), *ends, *_dead(box, arriving))
        for says in (*faults, *_switching_faults(reading, box)):
            yield SPLICES.finding(
                box.id,
                says,
                edition=reading.edition,
                detail=says,
                fix=f"list the splices of {box.id} again",
            )


def _switching_faults(reading: Reading, box: BoxPlan) -> Iterator[str]:
    """Switched hots of two groups that meet, or lead to what is not theirs; travellers spliced."""
    runs = {run.id: (circuit, run) for circuit, run in reading.runs_at.get(box.id, [])}
    for splice in box.splices:
        groups = set()
        for name, _, role in (joined.rpartition(".") for joined in splice.joins):
            if role.startswith("traveller"):
                yield f"traveller {name}.{role} is spliced in {box.id}"
            if role != "switched" or name not in runs or runs[name][0].life != "new":
                continue
            circuit, run = runs[name]
            group = switched_for(reading, circuit, run)
            groups.add(group)
            if group:
                last = in_row(reading, circuit, group)[-1]
                for strange in sorted({*splice.pigtails} - {last, *group.luminaires, *group.yokes}):
                    yield f"{strange} in {box.id} hangs on the switched hot of {last}"
        if len(groups) > 1:
            yield f"a splice in {box.id} joins what two switches switch"
    yield from _jumper_faults(reading, box)


def _jumper_faults(reading: Reading, box: BoxPlan) -> Iterator[str]:
    """A switch not joined once to what it switches in its own box; splices without a conductor."""
    together = []
    named = dict.fromkeys(yoke.circuit for yoke in box.yokes)
    for circuit in (reading.circuits[name] for name in named if name in reading.circuits):
        for group in groups_on(reading, circuit) if circuit.life == "new" else ():
            here = [name for name in group.yokes if box_of(name) == box.id]
            last = in_row(reading, circuit, group)[-1]
            if here and box_of(last) == box.id:
                together.append({last, *here})
    switched = [
        {*splice.pigtails}
        for splice in box.splices
        if all(name.endswith(".switched") for name in splice.joins)
    ]
    for wanted in together:
        found = sum(wanted <= pigtails for pigtails in switched)
        if found != 1:
            yield f"{found} splices in {box.id} join {' and '.join(sorted(wanted))}, not one"
    for splice in box.splices:
        from_load = any(name.endswith(LOAD_SIDE) for name in splice.pigtails)
        if not (splice.joins or from_load or {*splice.pigtails} in together):
            yield f"nothing comes to the splice of {' and '.join(splice.pigtails)} in {box.id}"


def _end_faults(box: BoxPlan, via: set[str], later: set[str]) -> Iterator[str]:
    """Conductors called passing that end here, or the other way round; caps on others than spares.

    `via`: runs that only pass; `later`: runs pulled now for machines that may come, all capped.
    """
    for conductor in box.conductors:
        if (conductor.ends == "passes") != (conductor.run in via):
            yield f"{conductor.run}.{conductor.role} in {box.id} is called {conductor.ends}"
        spare = conductor.role == "spare" or conductor.run in later
        spare_ends = spare and conductor.run not in via
        if (conductor.ends == "capped") != spare_ends:
            yield f"{conductor.run}.{conductor.role} in {box.id} ends {conductor.ends}"


def _dead(box: BoxPlan, arriving: set[str]) -> Iterator[str]:
    """Splices that nothing comes to: no run from the panel, no load side of a GFCI device."""
    for splice in box.splices:
        ends = [name.rpartition(".") for name in splice.joins]
        fed = any(run in arriving for run, _, _ in ends)
        fed |= any(name.endswith(LOAD_SIDE) for name in splice.pigtails)
        if not fed and {role for _, _, role in ends} & FED_BY_RUNS:
            yield f"nothing comes to the splice of {' and '.join(splice.joins)} in {box.id}"


def _unfed(box: BoxPlan, wired: Wired, reading: Reading) -> Iterator[str]:
    """Devices passed by: all conductors of a role are spliced, and no pigtail leads on."""
    pigtailed = {
        (conductor.role, name.removesuffix(LOAD_SIDE))
        for splice in box.splices
        for conductor in box.conductors
        if f"{conductor.run}.{conductor.role}" in splice.joins
        for name in splice.pigtails
    }
    for device, circuit, roles in _devices(box, wired, reading):
        mine = {one for one in wired.pair_of if wired.together(one, circuit)}
        for role in roles:
            ends = {c.ends for c in box.conductors if c.circuit in mine and c.role == role}
            if ends == {"spliced"} and (role, device) not in pigtailed:
                yield f"no pigtail leads from the {role} splice in {box.id} to {device}"


def _devices(
    box: BoxPlan, wired: Wired, reading: Reading
) -> Iterator[tuple[str, str | None, tuple[Role, ...]]]:
    """Each device of a box with its circuit and the conductors that end at it."""
    for yoke in box.yokes:
        if yoke.device == "switch":
            yield yoke.id, yoke.circuit, (*_on_switch(reading, yoke), "ground")
        elif yoke.configuration is not None:
            found = receptacle(yoke.configuration)
            one = wired.hots.get(yoke.circuit or "", "hot")
            hots: tuple[Role, ...] = ("hot", "hot2") if found.hots == 2 else (one,)
            neutral: tuple[Role, ...] = ("neutral",) if found.neutral else ()
            if any(yoke.id in group.yokes for group in reading.switch_groups):
                hots = ("switched",)
            yield yoke.id, yoke.circuit, (*hots, *neutral, "ground")
        elif yoke.circuit in wired.volts:  # a machine that is hard-wired here
            own = wired.hots.get(yoke.circuit, "hot")
            between: tuple[Role, Role] = (own, "neutral")
            here = (o.volts for o in reading.plan.outlets if o.yoke == yoke.id)
            if next(here, wired.volts[yoke.circuit]) == LINE_TO_LINE:
                between = ("hot", "hot2")
            yield yoke.id, yoke.circuit, (*between, "ground")
    if box.kind == "luminaire":
        switched = any(box.id in group.luminaires for group in reading.switch_groups)
        for circuit in sorted({conductor.circuit for conductor in box.conductors}):
            own = "switched" if switched else wired.hots.get(circuit, "hot")
            yield box.id, circuit, (own, "neutral", "ground")


def _on_switch(reading: Reading, yoke: YokePlan) -> Iterator[Role]:
    """Of the first switch of a row the hot, of the last what it switches."""
    circuit = reading.circuits.get(yoke.circuit or "")
    for group in groups_on(reading, circuit) if circuit else ():
        if circuit and yoke.id in group.switches:
            row = in_row(reading, circuit, group)
            if row[0] == yoke.id:
                yield "hot"
            if row[-1] == yoke.id:
                yield "switched"


def _faults(box: BoxPlan, wired: Wired, reading: Reading) -> Iterator[str]:
    """What is wrong with the splices of one box."""
    listed = {f"{c.run}.{c.role}": c for c in box.conductors}
    for splice in box.splices:
        inside = [listed[name] for name in splice.joins if name in listed]
        if len({(wired.pair_of.get(c.circuit, c.circuit), c.role) for c in inside}) > 1:
            yield f"a splice in {box.id} joins {' and '.join(splice.joins)}"
        for yoke in box.yokes:
            own = wired.hots.get(yoke.circuit or "")
            others = {c.role for c in inside if c.role in ("hot", "hot2")} - {own}
            if own and others and yoke.id in splice.pigtails:
                yield f"{yoke.id} of {yoke.circuit} in {box.id} has a pigtail to {others.pop()}"
    known = {yoke.id for yoke in box.yokes} | {box.id}
    for splice in box.splices:
        pigtails = [name.removesuffix(LOAD_SIDE) for name in splice.pigtails]
        if len(set(splice.pigtails)) != len(pigtails) or not known.issuperset(pigtails):
            yield f"a splice in {box.id} has pigtails to {' and '.join(splice.pigtails)}"
        if len(splice.joins) + len(pigtails) < MEETING:
            yield f"a splice in {box.id} joins nothing: {' '.join((*splice.joins, *pigtails))}"
    yield from _unfed(box, wired, reading)
    spliced = Counter(name for splice in box.splices for name in splice.joins)
    for name, conductor in listed.items():
        wanted = 1 if conductor.ends == "spliced" else 0
        if spliced[name] != wanted:
            yield f"{name} in {box.id} is {conductor.ends} and in {spliced[name]} splices"
