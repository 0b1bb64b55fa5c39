"""The scope sheet for bidders: what is to be built, counted, and what is not, without any price."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from branchwright.interlocks import interlocks
from branchwright.later_words import later_names
from branchwright.measures import counted, length_and_unit, sold
from branchwright.metric_sentences import sentence
from branchwright.papers.paper import Field, Paper, Row
from branchwright.sheets.pull_list import pulled_words
from branchwright.words import clean, joined, local_answer_words, machine_words, plain
from models.naming import natural
from models.plan import THEN, CircuitPlan, Plan, Run

FIELDS = (
    Field("Part", 16), Field("What", 52), Field("Quantity", 10, 2), Field("Unit", 8),
    Field("Where or how", 56),
)  # fmt: skip
CIRCUITS, RUNS, RACEWAYS, MATERIAL = "circuits", "runs", "raceways", "material"
STAYS, OUT, RESTS, GRANTED = "stays as it is", "not included", "rests on", "taken for granted"
EACH: Final = "each"

NOT_INCLUDED: Final = (
    "permit, fees, inspection",
    "luminaires themselves, machines, their cords, plugs, starters and disconnects",
    "holes, patching, paint, trenches, ladders and lifts",
    "panels, feeders and their breakers, work on the service, unless a line above names it",
    "labour: bid by the lines above",
)


def scope(plan: Plan) -> Paper:
    """What is asked, line by line."""
    rows: list[Row] = []
    for part in (_circuits, _runs, _raceways, _material, _interlocks, _stays, _out, _rests):
        rows += part(plan)
    note = (
        "For bids that can be laid side by side: the same lines for everybody, no prices. Lengths"
        " are cut lengths with slack; what the plan has not decided is under not included."
    )
    return Paper("scope", "Scope", FIELDS, tuple(rows), note)


def _circuits(plan: Plan) -> Iterator[Row]:
    """New circuits by their breaker, and those that are extended."""
    kinds: dict[str, list[CircuitPlan]] = {}
    for circuit in plan.circuits:
        kinds.setdefault(_kind(circuit), []).append(circuit)
    for kind, circuits in kinds.items():
        if kind:
            where = joined((f"{one.id}: {one.says}" for one in circuits), "; ")
            yield CIRCUITS, kind, len(circuits), EACH, where


def _kind(circuit: CircuitPlan) -> str:
    """A circuit in words of its breaker; nothing for one that stays."""
    new = circuit.life == "new"
    if not new and not any(run.life == "new" for run in circuit.runs):
        return ""
    breaker = circuit.breaker
    poles = "one pole" if breaker.poles == 1 else "two poles"
    guard = ", GFCI breaker" if breaker.gfci else ", GFCI device" if circuit.gfci_at else ""
    pair = ", shares its neutral" if circuit.multiwire_with else ""
    what = "new" if new else "extended"
    volts = circuit.volts_text
    return f"{what} circuit, {volts} V, {plain(breaker.amps)} A, {poles}{guard}{pair}"


def _runs(plan: Plan) -> Iterator[Row]:
    """Runs to pull, by what is pulled."""
    made: dict[str, list[Run]] = {}
    for circuit in plan.circuits:
        for run in circuit.runs:
            if run.life == "new":
                made.setdefault(clean(pulled_words(run)), []).append(run)
    for run in (*plan.later_runs, *plan.rooms):
        made.setdefault(clean(pulled_words(run)), []).append(run)
    for pulled, runs in sorted(made.items(), key=lambda one: natural(one[0])):
        length_ft = round(sum(run.length_ft + run.allowance_ft for run in runs), 2)
        how = "in raceway" if runs[0].method == "raceway" else "cable"
        how = "for conductors to come" if runs[0].stage == THEN else how
        length, unit = length_and_unit(length_ft)
        count = f"{len(runs)} run{'s' if len(runs) > 1 else ''}"
        yield RUNS, pulled, length, unit, f"{how}, {count}, see the pull list"


def _raceways(plan: Plan) -> Iterator[Row]:
    """Raceways to build."""
    for way in sorted(plan.raceways, key=lambda one: natural(one.id)):
        if way.life == "new":
            where = f"{clean(way.id)}, {clean(way.start)} to {clean(way.end)}"
            length, unit = length_and_unit(way.length_ft)
            yield RACEWAYS, f"{clean(way.kind)} {clean(way.trade_size)}", length, unit, where
    for one in plan.later_machines or ():
        if one.raceway is not None:
            length, unit = length_and_unit(one.raceway.length_ft)
            where = f"{clean(one.panel or '')} to {clean(one.box or '')}, with a pull string, empty"
            kind = f"{clean(one.raceway.kind)} {clean(one.raceway.trade_size)}"
            yield RACEWAYS, kind, length, unit, where


def _material(plan: Plan) -> Iterator[Row]:
    """Every line of the takeoff."""
    for line in plan.takeoff:
        quantity, unit, _ = sold(line.quantity, line.unit, line.unit_price_usd)
        yield MATERIAL, clean(line.item), counted(quantity, unit), clean(unit), ""


def _interlocks(plan: Plan) -> Iterator[Row]:
    """Devices that keep machines apart; the takeoff has none of them."""
    for device, keeps in interlocks(plan):
        yield "interlocks", device, 1, EACH, f"not in the material above; {keeps}"


def _stays(plan: Plan) -> Iterator[Row]:
    """What is there, and what of it is taken apart."""
    for circuit in plan.circuits:
        if not _kind(circuit):
            yield STAYS, f"circuit {clean(circuit.id)}", 1, EACH, clean(circuit.says)
    for circuit in plan.removed or ():
        boxes = joined(dict.fromkeys(run.end for run in circuit.runs))
        yield "taken apart", f"circuit {clean(circuit.id)}", 1, EACH, boxes


def _out(plan: Plan) -> Iterator[Row]:
    """What nobody should read into the rest."""
    for what in NOT_INCLUDED:
        yield OUT, what, None, "", ""
    names = machine_words(plan)
    for draft in plan.changeovers or ():
        says = f"the changeover of {names.get(draft.machine, clean(draft.machine))}"
        yield OUT, says, None, "", _now(draft.chosen)
    coming = later_names(plan)
    for one in plan.later_machines or ():
        says = f"the circuit of {coming.get(one.machine, clean(one.machine))}, which may come"
        yield OUT, says, None, "", _now(one.chosen or "nothing")


def _now(chosen: str) -> str:
    """What of it is in the lines above."""
    return f"now: {clean(chosen).removesuffix(' now')}"


def _rests(plan: Plan) -> Iterator[Row]:
    """What a bid may count on."""
    yield RESTS, f"NEC {plan.made_by.edition}", None, "", "local answers as told below"
    for question, answer in local_answer_words(plan):
        if question != "edition":  # told above
            yield RESTS, question, None, "", answer
    for told in plan.made_by.assumptions:
        yield GRANTED, sentence(clean(told)), None, "", ""
    kinds = Counter(finding.severity for finding in plan.findings)
    if kinds["not-checked"]:
        yield (
            RESTS, "open questions", kinds["not-checked"], EACH,
            "see the findings: for the electrician and the inspector",
        )  # fmt: skip
