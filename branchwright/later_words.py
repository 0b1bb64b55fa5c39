"""Machines that may come, in sentences: what is done for each now, and what else could be."""

from collections.abc import Iterator, Mapping

from branchwright.changeover_words import chosen_of, costs, instead
from branchwright.words import (
    amps,
    clean,
    machine_words,
    named_spaces_text,
    percent,
    plain,
    state_words,
)
from models.changeovers import coming_names
from models.plan import LaterMachinePlan, Plan


def later_names(plan: Plan) -> Mapping[str, str]:
    """What the shop calls the machines that may come, by id."""
    return {key: clean(name) for key, name in coming_names(plan).items()}


def later_sentences(plan: Plan) -> Iterator[str]:
    """A sentence for each machine that may come, and one for what else there was."""
    names = later_names(plan)
    for one in plan.later_machines or ():
        says = f"{names.get(one.machine, clean(one.machine))} may come{likely(one)}: "
        if one.chosen is None:
            yield f"{says}nothing can be chosen: {clean(one.why or 'nothing is known of it')}."
            continue
        chosen = chosen_of(one)
        says += clean(one.chosen) + kept_words(one) + laid_words(one)
        says += f", {costs(chosen, one)}" if chosen is not None else ""
        says += f"; {where}" if (where := receptacle_words(one, plan)) else ""
        yield f"{says}.{instead(one)}"


def likely(one: LaterMachinePlan) -> str:
    """How likely it is."""
    return f" ({percent(one.likelihood)} likely)"


def kept_words(one: LaterMachinePlan) -> str:
    """The spaces that are kept for it."""
    if not one.panel_spaces:
        return ""
    return f" ({named_spaces_text(one.panel_spaces)} of {clean(one.panel or '')})"


def laid_words(one: LaterMachinePlan) -> str:
    """Raceways of the shop that are laid, or laid larger, because room is kept in them."""
    told = (
        f"{clean(laid.raceway)} laid for it"
        if laid.instead_of is None
        else f"{clean(laid.raceway)} laid in {clean(laid.trade_size)} in"
        f" instead of {clean(laid.instead_of)} in"
        for laid in one.laid
    )
    return "".join(f"; {words}" for words in told)


def receptacle_words(one: LaterMachinePlan, plan: Plan) -> str:
    """Where one with a plug has its receptacle, and what the circuit that holds it then carries."""
    if one.held is not None:
        circuit = next((c for c in plan.circuits if c.id == one.held.circuit), None)
        on = {one.machine, *(circuit.machines if circuit else ())}
        worst = one.held.worst
        if worst is None:
            return ""
        names = {**machine_words(plan), **later_names(plan)}
        state = state_words([name for name in worst.state if name in on], names)
        loaded = f"{amps(worst.amps)} of {amps(worst.limit_amps)}"
        return f"{clean(one.held.circuit)} then carries {state} = {loaded}"
    if one.configuration is None:
        return ""
    single = f"a single {clean(one.configuration)}"
    if one.yoke is not None:
        return f"on the day {clean(one.yoke)} leaves its circuit, and in its place comes {single}"
    return f"on the day {single} in a box of its own beside {clean(one.box or '')}"


def at_words(one: LaterMachinePlan) -> str:
    """The box where it is wired, or the receptacle that it is plugged into."""
    return one.held.outlet if one.held else one.yoke or one.box or ""


def circuit_words(one: LaterMachinePlan) -> str:
    """The circuit that it then gets."""
    made = one.circuit
    if made is None:
        return clean(one.held.circuit) if one.held else ""
    gfci = "GFCI " if made.breaker_gfci else ""
    return (
        f"{made.poles}-pole {plain(made.breaker_amps)} A {gfci}breaker, {made.awg} AWG,"
        f" {plain(made.length_ft, 0)} ft"
    )
