"""Machines that have a say in their circuit: MCA and MOCP, welders, compressors, chargers. Amperes.

Source: NFPA 70 (2017, 2020, 2023) 240.4(G), 440.4(B), 440.22, 440.32, 625.40, 630.11, 630.12. A
breaker may be above its conductors only where the machine is hard-wired and alone on a circuit:
into a receptacle anything may be plugged later.
"""

from models.formulas.compressors import compressor_breaker_amps
from models.formulas.overcurrent import next_standard_rating_amps
from models.formulas.welders import welder_breaker_ceiling_amps
from models.shop import Machine
from solver.load import Load, is_bare_compressor
from solver.points import machine_amps
from solver.refusal import Refusal

SMALL_CHARGER_AMPS, SMALL_CHARGER_VOLTS = 16, 120  # 625.40 (2023)


def shares_against_nameplate(machine: Machine, load: Load, edition: int) -> Refusal | None:
    """Refuse company to a charger, and to what is hard-wired with a nameplate of its own."""
    if len(load.outlets) == 1 and load.receptacles <= 1:
        return None
    named = machine.mca_amps is not None or machine.i1max_amps is not None
    if (named and machine.hard_wired_at is not None) or _charger_alone(machine, edition):
        return Refusal("not alone", {"machine": machine.id, "at": load.placed[machine.id]})
    return None


def _charger_alone(machine: Machine, edition: int) -> bool:
    """Whether a machine is a vehicle charger that 625.40 gives a circuit of its own."""
    small = machine_amps(machine) <= SMALL_CHARGER_AMPS and machine.volts <= SMALL_CHARGER_VOLTS
    return machine.kind == "vehicle charger" and not (edition >= 2023 and small)


def nameplate_unfit(machine: Machine, amps: int, top_amps: int, edition: int) -> Refusal | None:
    """Whether a breaker suits a nameplate that names one; `top_amps`: the most this place takes.

    MOCP, 200 % of I1max or 175 % of a compressor is the most. The least of a welder is a habit
    (common practice, no source): a breaker that holds I1max, where the place takes such a one.
    """
    least, most = 0, float("inf")
    if machine.mocp_amps is not None:
        most = machine.mocp_amps
    elif machine.i1max_amps is not None:
        most = welder_breaker_ceiling_amps(machine.i1max_amps, edition)
        least = min(next_standard_rating_amps(machine.i1max_amps, edition), top_amps)
    elif is_bare_compressor(machine):
        most = compressor_breaker_amps(machine_amps(machine), edition)
    if least <= amps <= most:
        return None
    facts: dict[str, object] = {"machine": machine.id, "found": amps}
    return Refusal("nameplate breaker", {**facts, "limit": most if amps > most else least})


def own_breaker_amps(machine: Machine, ampacity_amps: float, edition: int) -> float | None:
    """Largest breaker for conductors of an ampacity by the article of the machine alone on them.

    None where they go by 240.4(B) and (D) like any others. MOCP stands for itself. [A]
    """
    if machine.hard_wired_at is None:
        return None
    if machine.i1max_amps is not None:
        return welder_breaker_ceiling_amps(ampacity_amps, edition)
    return machine.mocp_amps
