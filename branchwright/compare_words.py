"""Plans beside each other in sentences: what moved, what the shops say, when copper turns it."""

from collections.abc import Iterator, Mapping
from typing import Final

from branchwright.words import clean, dollars, joined, plain, some_of
from models.compare import AgainstFirst, Comparison
from models.compare.figures import Figures
from models.compare.lines import CopperTurn
from models.compare.margins import Margin
from models.compare.moves import Moved, Moves

MOST_NAMED: Final = 8
MOST_SHOP: Final = 6
LONGEST_VALUE: Final = 60
FEW: Final = 2
KIND_WORDS: Final = {
    "load": "load of a circuit",
    "drop": "voltage drop",
    "box": "box fill",
    "raceway": "raceway fill",
    "leg": "heavier leg",
    "calculation": "calculated load",
}


def margin_words(margin: Margin | None) -> str:
    """How much of a limit is taken, and where.

    >>> margin_words(Margin(kind="load", where="C5", found=18.5, limit=20, unit="A", share=0.925))
    '92 % C5'
    """
    return "" if margin is None else f"{int(100 * margin.share)} % {clean(margin.where)}"


def more(value: float, unit: str = "") -> str:
    """A difference with its sign, in dollars where no unit is named.

    >>> more(-12.5), more(0.0), more(3.25, "lb")
    ('-$12.50', '$0.00', '+3.25 lb')
    """
    sign = "+" if value > 0 else "-" if value < 0 else ""
    size = dollars(abs(value)) if not unit else f"{plain(abs(value))} {unit}"
    return f"{sign}{size}"


def violation_sentences(found: Comparison) -> Iterator[str]:
    """What the checks find wrong with a plan, the first thing."""
    for one in found.plans:
        if one.findings.first_violation is not None:
            others = one.findings.violations - 1
            more = f", and {others} more" if others else ""
            yield f"{one.mark} has a violation: {clean(one.findings.first_violation)}{more}."


def shop_sentences(against: AgainstFirst) -> Iterator[str]:
    """What the shop of a plan says otherwise than that of the first."""
    if not against.shop:
        yield f"A and {against.plan} are plans of the same shop."
        return
    there = [one.path for one in against.shop if one.before is None and _is_thing(one.after)]
    in_first = [one.path for one in against.shop if one.after is None and _is_thing(one.before)]
    told = [
        f"{clean(one.path)} {_value(one.after)}, in A {_value(one.before)}"
        for one in against.shop
        if one.path not in (*there, *in_first)
    ]
    if told:
        shown = "; ".join(told[:MOST_SHOP])
        rest = f"; and {len(told) - MOST_SHOP} more" if len(told) > MOST_SHOP else ""
        yield f"The shop of {against.plan} says otherwise: {shown}{rest}."
    for mark, things in ((against.plan, there), ("A", in_first)):
        if things:
            yield f"In the shop of {mark} only: {some_of(things, MOST_SHOP)}."


def _is_thing(text: str | None) -> bool:
    """Whether a value is a whole thing with keys of its own, as a box: its path names it."""
    return text is not None and text.startswith("{")


def _value(text: str | None) -> str:
    """A value as the shop file has it; a long one as far as it takes, to the end of a part.

    >>> _value("yes"), _value("[" + ", ".join(["duplex 5-20R"] * 5) + "]")
    ('yes', '[duplex 5-20R, duplex 5-20R, duplex 5-20R, duplex 5-20R, …')
    """
    short = clean(text or "left out")
    return short if len(short) <= LONGEST_VALUE else _cut(short)


def _cut(text: str) -> str:
    whole, comma, _ = text[: LONGEST_VALUE - 2].rpartition(", ")
    return f"{whole}{comma}…" if whole else f"{text[: LONGEST_VALUE - 1]}…"


def settled_sentence(first: Figures, other: Figures, against: AgainstFirst) -> str:
    """How sure the order of two plans is."""
    goal = {"cost": "costs less", "copper": "has less copper"}
    if not (against.more_usd or against.more_copper_lb):
        same = f"A and {other.mark} cost the same and hold the same copper"
        later = against.more_later_usd
        return f"{same} today; for days to come {more(later)}." if later else f"{same}."
    if against.within:
        return (
            f"Of A and {other.mark} the shop of the cheaper allows every plan of the other: at"
            " their best it costs no more."
        )
    if against.settled is None:
        return f"Whether another plan of the same shops would turn A and {other.mark} is not known."
    if against.settled:
        return f"No plan of the dearer shop {goal[first.minimized]} than the other of the two has."
    return (
        f"The bounds leave room: a better plan of the dearer of A and {other.mark} may turn the"
        " order. Plan both with more effort before you rest a decision on the difference."
    )


def move_sentences(moves: Moves, names: Mapping[str, str]) -> Iterator[str]:
    """What moved between two plans; `names` of machines by id."""
    if moves.same_circuits:
        pairs = joined(f"{name} is {to}" for name, to in moves.same_circuits.items())
        yield f"The same circuits under other ids, {' then '.join(moves.plans)}: {pairs}."
    for moved in moves.moved:
        yield f"{some_of(moved.things, MOST_NAMED)}: from {_from_to(moved)}."
    for seat in moves.seats:
        was, now = clean(seat.before or "none"), clean(seat.after or "none")
        yield f"{clean(names[seat.machine])} is plugged in at {now}, not at {was}."
    for says in moves.built_otherwise:
        yield f"{clean(says)}."
    for mark, things in zip(moves.plans, (moves.only_before, moves.only_after), strict=True):
        if things:
            yield f"In {mark} only: {some_of(things, MOST_NAMED)}."


def _from_to(moved: Moved) -> str:
    """From which circuit to which; ids of the first plan where both have the circuit."""
    if moved.after_was is None:
        return f"{clean(moved.before)} to {clean(moved.after)}, a circuit that A does not have"
    other = "" if moved.after_was == moved.after else f" (there {clean(moved.after)})"
    return f"{clean(moved.before)} to {clean(moved.after_was)}{other}"


def copper_sentences(found: Comparison) -> Iterator[str]:
    """For every two plans the change of the copper price at which their order turns."""
    told = [turn for turn in found.copper if _is_told(turn, len(found.plans))]
    yield from map(_copper, told)
    if any(turn.change_usd_per_lb is not None for turn in told):
        yield (
            "The price book does not part a conductor into copper and the rest: this is told from"
            " the pounds of copper alone, as if a conductor cost that much more or less."
        )


def _is_told(turn: CopperTurn, plans: int) -> bool:
    """Of many plans only what is held against the first, and holds other copper."""
    return plans <= FEW or (turn.plans[0] == "A" and turn.turns != "same copper")


def _copper(turn: CopperTurn) -> str:
    one, other = turn.plans
    if turn.turns == "same copper" or turn.change_usd_per_lb is None:
        return f"{one} and {other} hold the same copper: its price does not change their order."
    if turn.turns == "at no price of copper":
        less = other if turn.dearer_with_more == one else one
        return f"{less} costs less than {turn.dearer_with_more} at whatever price of copper."
    change = turn.change_usd_per_lb
    way = "dearer" if change >= 0 else "cheaper"
    return (
        f"{one} and {other} cost the same when copper is {dollars(abs(change))}/lb {way} than in"
        f" these prices; beyond that {turn.dearer_with_more}, which has more of it, is the dearer."
    )
