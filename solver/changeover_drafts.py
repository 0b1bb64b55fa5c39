"""What a plan says of each changeover it prepares for: the choice, what else there was, the day.

Costs now are against the least circuit of the same outlets that prepares nothing. USD.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from models.formulas.conductors import circular_mils
from models.part_keys import by_size
from models.plan import Alternative, ChangeoverPlan, CircuitPlan, TakeoffLine
from models.price_book import PriceBook
from solver.candidate import MONEY, Candidate, Prepared
from solver.circuit import Circuits
from solver.refusal import Refusal

WORDS: Final = {
    "nothing": "nothing now",
    "space": "a space kept beside its breaker",
    "spare": "a spare conductor pulled now",
}


def takeoff_lines(book: PriceBook, parts: Mapping[str, int]) -> tuple[TakeoffLine, ...]:
    """Parts, in hundredths, at their prices; a line's cost is exact to 0.0001 USD."""
    return tuple(
        TakeoffLine(
            key=key,
            item=book.price(key).item,
            quantity=count / 100,
            unit=book.price(key).unit,
            unit_price_usd=book.cents(key) / 100,
            cost_usd=round(count * book.cents(key) / MONEY, 4),
        )
        for key, count in sorted(parts.items(), key=lambda part: by_size(part[0]))
    )


class ChangeoverDrafts:
    """Writes down the changeovers of chosen circuits."""

    def __init__(
        self,
        circuits: Circuits,
        plans: Sequence[CircuitPlan],
        kept: Mapping[tuple[str, int], Prepared],
    ) -> None:
        self.circuits, self.kept = circuits, kept
        self.every = circuits.deciding()
        self.on = {machine: plan for plan in plans for machine in plan.machines}

    def drafts(
        self, numbered: Iterable[tuple[tuple[str, ...], Candidate]]
    ) -> tuple[ChangeoverPlan, ...] | None:
        """Every changeover that is prepared for or counted; None where there is none."""
        found = [self._draft(made, one) for _, made in numbered for one in made.prepared]
        return tuple(sorted(found, key=lambda draft: draft.machine)) or None

    def _draft(self, made: Candidate, one: Prepared) -> ChangeoverPlan:
        circuit, box = self.on[one.machine], self._box(made, one.machine)
        ready = one.choice != "nothing"
        base, others = self._others(made, one)
        spaces = [
            space
            for (panel, space), prepared in self.kept.items()
            if panel == made.panel and made.keeps_space and prepared in made.prepared
        ]
        lines = takeoff_lines(self.circuits.catalogue.book, dict(one.parts))
        spare_runs = _spare_runs(circuit, box) if one.choice == "spare" else ()
        panel_spaces = tuple(sorted((*circuit.breaker.spaces, *spaces))) if one.keeps_space else ()
        change = self.circuits.later.planned[one.machine]
        poles = 2 if one.keeps_space else circuit.breaker.poles
        breaker = breaker_words(one.breaker_amps, poles, one.gfci, panel_spaces)
        return ChangeoverPlan(
            machine=one.machine,
            chosen=_says(made, one, base),
            alternatives=tuple(self._alternative(other, one.machine, base) for other in others),
            spare_runs=spare_runs,
            panel_spaces=panel_spaces,
            parts=tuple(f"{line.quantity:g} {line.unit}: {line.item}" for line in lines),
            steps=day_steps(circuit, box, spare_runs, breaker, one.configuration) if ready else (),
            prepared=ready,
            circuit=circuit.id,
            volts=change.volts,
            likelihood=change.likelihood,
            counted=self._counted(one.machine),
            breaker_amps=float(one.breaker_amps),
            breaker_gfci=one.gfci,
            configuration=one.configuration,
            takeoff=lines,
            why=None if len(others) > 1 else self._why(made, one.machine),
        )

    def _counted(self, machine: str) -> float | None:
        """The part of a later cost that counts, where the shop discounts it."""
        discounted = self.circuits.shop.later.discount
        return self.circuits.later.share(machine) if discounted else None

    def _why(self, made: Candidate, machine: str) -> str:
        """Why a circuit cannot be prepared for a machine on it."""
        at = made.load.placed.get(machine)
        if made.extends:
            return "it is on an existing circuit"
        if made.halves or at is None:
            return "its circuit shares its neutral with another"
        if made.spaces:
            return "the space of its breaker is pinned"
        if list(made.load.placed.values()).count(at) > 1:
            return "another machine is plugged in beside it"
        if len(made.load.outlets) > 1 and not self.circuits.shop.code.multiwire:
            return "its circuit has other outlets, and multiwire circuits are not allowed"
        return "what could be pulled now would not serve it then"

    def _box(self, made: Candidate, machine: str) -> str:
        loads = [half.load for half in made.halves] or [made.load]
        at = next(load.placed[machine] for load in loads if machine in load.placed)
        yoke = self.circuits.points.yokes.get(at)
        return (yoke.box if yoke else None) or at

    def _others(self, made: Candidate, one: Prepared) -> tuple[Candidate, list[Candidate]]:
        """The least circuit that prepares nothing for the machine, and the least of each choice.

        What it does about other machines is as chosen.
        """
        found = self.every.candidates(frozenset(made.items))
        variants = [made] if isinstance(found, Refusal) else [made, *found]
        rest = [choice for choice in made.choices if choice[0] != one.machine]
        mine = [v for v in variants if [c for c in v.choices if c[0] != one.machine] == rest]
        mine = [
            v
            for v in mine
            if (v.panel, v.extends, bool(v.halves)) == (made.panel, made.extends, bool(made.halves))
        ]
        plain = [v for v in mine if (one.machine, "nothing") in v.choices]
        base = min(plain, key=self.circuits.rank)
        least: dict[str, Candidate] = {}
        for variant in sorted(mine, key=self.circuits.rank):
            least.setdefault(_says(variant, _of(variant, one.machine), base), variant)
        least[_says(made, one, base)] = made
        order = sorted(least, key=lambda says: (says != WORDS["nothing"], says))
        return base, [least[says] for says in order]

    def _alternative(self, made: Candidate, machine: str, base: Candidate) -> Alternative:
        one = _of(made, machine)
        now = round((_now(made) - _now(base)) / MONEY, 2)
        later = round(one.later_cost / MONEY, 2)
        share = self.circuits.later.share(machine)
        return Alternative(
            says=_says(made, one, base),
            cost_now_usd=now,
            cost_later_usd=later,
            expected_usd=round(now + share * later, 2),
        )


def _of(made: Candidate, machine: str) -> Prepared:
    return next(one for one in made.prepared if one.machine == machine)


def _now(made: Candidate) -> int:
    """What a candidate costs today. [0.0001 USD]"""
    return made.cost - made.expected_cost


def _says(made: Candidate, one: Prepared, base: Candidate) -> str:
    """A choice in words."""
    says = WORDS[one.choice]
    if one.choice == "spare" and one.keeps_space:
        says += f" and {WORDS['space']}"
    if one.choice == "space" and not one.keeps_space:
        says = "nothing needed now"
    if one.choice != "nothing" and circular_mils(made.awg) > circular_mils(base.awg):
        says = f"{made.awg} AWG conductors now, {says}"
    return says


def _spare_runs(circuit: CircuitPlan, box: str) -> tuple[str, ...]:
    """Runs on the way to a box that have a spare."""
    above = {run.end: run for run in circuit.runs}
    found: list[str] = []
    while box in above:
        run = above[box]
        if any(wire.role == "spare" for wire in run.conductors):
            found.insert(0, run.id)
        box = run.start
    return tuple(found)


def breaker_words(amps: float, poles: int, gfci: bool, spaces: Sequence[int]) -> str:
    """A breaker that is put in.

    >>> breaker_words(15, 2, True, (5, 7))
    '2-pole 15 A GFCI breaker in spaces 5 and 7'
    """
    where = f" in spaces {' and '.join(map(str, spaces))}" if spaces else ""
    return f"{poles}-pole {amps:g} A {'GFCI ' if gfci else ''}breaker{where}"


def day_steps(
    circuit: CircuitPlan,
    box: str,
    spare_runs: Sequence[str],
    breaker: str | None,
    configuration: str | None,
) -> tuple[str, ...]:
    """What is done that day, in order; without `breaker` the one there stays."""
    steps = [
        f"Switch {circuit.id} off and lock it; prove it dead at {box} and behind its breaker with a"
        " tester proved live, dead, live. The panel's lugs stay live.",
    ]
    if spare_runs:
        steps.append(
            f"Treat the spare of {', '.join(spare_runs)} as live until it is proved dead; take its"
            " caps off and join it from run to run."
        )
    if breaker is not None:
        steps.append(f"Put a {breaker} in place of the one there.")
    alone = len(circuit.outlets) == len({o.rpartition(".")[0] or o for o in circuit.outlets}) == 1
    if not spare_runs or alone:
        steps.append(
            "Mark a white that becomes a hot at every end of its cable, never in a raceway."
        )
    if configuration is not None:
        steps.append(f"Exchange the receptacle at {box} for a single {configuration}.")
    steps.append("Measure the new voltage at the machine, then print directory and labels again.")
    return tuple(steps)
