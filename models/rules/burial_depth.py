"""What lies underground: cover over raceways and cable, and that it is wet down there. Inches.

Inside the outline a raceway lies under the building. Outside it lies in the yard: where vehicles
drive there the shop file does not say, and under a drive more cover may be asked for.
"""

from collections.abc import Iterator
from itertools import pairwise
from math import ceil
from typing import Final

from models.formulas.burial import is_residential_gfci, least_cover_in
from models.plan import CircuitPlan, Finding, RacewayPlan, Run, Xyz
from models.rules.reading import Reading, new_runs
from models.rules.rule import SAME_FT, RuleText, registry
from models.shop import Building, Raceway

BELOW_FT: Final = -0.02
FOR_WET: Final = ("THWN", "XHHW")  # 310.10(C)

DEPTH = RuleText(
    "burial-depth",
    "Cover of what is buried",
    "Buried raceways have the cover that Table 300.5 asks for outside the building, by their kind;"
    " 12 in for 120 V circuits of a dwelling of 20 A or less behind a GFCI breaker.",
    "NEC 300.5(A), Table 300.5",
    "code",
    {2023: "NEC 300.5(A), Table 300.5(A)"},
)
KIND = RuleText(
    "burial-kind",
    "What may be buried",
    "Nonmetallic cable (NM-B) is not laid in earth, and electrical nonmetallic tubing (ENT) is not"
    " either.",
    "NEC 334.12(B), 362.12",
    "code",
)
WET = RuleText(
    "underground-wet",
    "Conductors underground",
    "The inside of a raceway underground is a wet place: its conductors are marked for it, as THWN"
    " or XHHW.",
    "NEC 300.5(B)",
    "code",
)
RULES = registry(DEPTH, KIND, WET)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each thing buried too shallow, or that should not be buried."""
    of_shop = {raceway.id: raceway for raceway in reading.shop.routes.raceways}
    for raceway in reading.plan.raceways:
        given = of_shop.get(raceway.id)
        inside = reading.runs_in_raceway.get(raceway.id, [])
        if given is not None and given.laid == "buried":
            yield from _raceway(reading, raceway, given, inside)
    for circuit in reading.worked_circuits:
        for run in new_runs(circuit):
            if run.method == "cable" and any(z < BELOW_FT for _, _, z in run.path):
                says = f"cable run {run.id} lies underground"
                fix = "conductors for wet places in a buried raceway"
                yield KIND.finding(run.id, says, edition=reading.edition, fix=fix)


def _raceway(
    reading: Reading, raceway: RacewayPlan, given: Raceway, inside: list[tuple[CircuitPlan, Run]]
) -> Iterator[Finding]:
    """What is wrong with a buried raceway."""
    if raceway.kind == "ENT":
        says = f"raceway {raceway.id} is ENT and buried"
        fix = f"PVC or RMC for {raceway.id}"
        yield KIND.finding(raceway.id, says, edition=reading.edition, fix=fix, rests_on_memory=True)
        return
    for _, run in inside:
        if not run.make.startswith(FOR_WET):
            says = f"raceway {raceway.id} is wet inside: {run.make} of run {run.id} is not for it"
            yield WET.finding(
                raceway.id,
                says,
                edition=reading.edition,
                severity="violation" if run.life == "new" else "not-checked",
                detail=run.id,
                fix="conductors marked THWN or THWN-2 as well; read the marking of those there",
            )
    least_in = _least_cover_in(reading, raceway, inside)
    found_in = 12 * _cover_ft(raceway, given)
    if found_in < least_in - 12 * SAME_FT:
        new = any(run.life == "new" for _, run in inside)
        yield DEPTH.finding(
            raceway.id,
            f"raceway {raceway.id} ({raceway.kind}) has {found_in:.0f} in of cover, {least_in:.0f}"
            " in is asked for, and 24 in under a street, a drive or a car park"
            " (18 in for a dwelling's own)",
            edition=reading.edition,
            severity="violation" if new else "warning",
            found=found_in,
            limit=least_in,
            unit="in",
            fix=f"lay {raceway.id} deeper, or in rigid metal conduit",
        )


def _least_cover_in(
    reading: Reading, raceway: RacewayPlan, inside: list[tuple[CircuitPlan, Run]]
) -> float:
    """Cover that the table asks for where a raceway comes out from under the building. [in]"""
    building = reading.shop.building
    if all(_under(building, *ends) for ends in pairwise(raceway.path) if _is_below(*ends)):
        return least_cover_in(raceway.kind, "under a building")
    small = bool(inside) and all(
        is_residential_gfci(
            circuit.volts,
            circuit.breaker.amps,
            dwelling=building.dwelling,
            gfci=circuit.breaker.gfci and "breaker" in circuit.gfci_at,
        )
        for circuit, _ in inside
    )
    return least_cover_in(raceway.kind, residential_gfci=small)


def _is_below(start: Xyz, end: Xyz) -> bool:
    """Whether a part of a way lies level underground."""
    return start[2] < BELOW_FT and abs(start[2] - end[2]) < SAME_FT


def _cover_ft(raceway: RacewayPlan, given: Raceway) -> float:
    """The least cover: as given, and as drawn. [ft]"""
    drawn = [-start[2] for start, end in pairwise(raceway.path) if _is_below(start, end)]
    return min([given.depth_ft, *drawn])


def _under(building: Building, start: Xyz, end: Xyz) -> bool:
    """Whether all of a straight part lies within the outline, looked at every foot."""
    steps = max(1, ceil(sum(abs(a - b) for a, b in zip(start, end, strict=True))))
    return all(
        building.holds(
            *(a + (b - a) * step / steps for a, b in zip(start[:2], end[:2], strict=True))
        )
        for step in range(steps + 1)
    )
