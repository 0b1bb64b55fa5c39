"""Panel spaces: who sits where, on which leg, and what stays free."""

from collections import Counter
from collections.abc import Iterator
from math import dist
from typing import Final

from models.building_main import MAIN
from models.changeovers import changeover_of, later_machine_of
from models.formulas.overcurrent import standard_ratings_amps
from models.plan import CircuitPlan, Finding, PanelPlan, Space, Xyz
from models.rules.reading import Reading
from models.rules.rule import SAME_FT, RuleText, registry
from models.shop import Panel

COLUMN_STEP: Final = 2  # numbers between neighbours in a column

SPACES = RuleText(
    "panel-spaces",
    "Spaces of the panel",
    "Every breaker sits in spaces the panel has and nobody else uses; a two-pole breaker takes a "
    "space and the one below it; the listing agrees with the breakers.",
    "NEC 408.54; panel label",
    "code",
)
TANDEM = RuleText(
    "tandem",
    "Tandem breakers",
    "A tandem only where the panel allows one, and never for two poles, GFCI or a multiwire "
    "circuit: both its poles are on one leg.",
    "NEC 408.54; panel label",
    "maker",
)
SPARE = RuleText(
    "spare-spaces",
    "Spaces left free",
    "The spaces that the owner wants left free are free and marked as spare, or as kept for a"
    " machine that may come.",
    "wish of the owner",
    "plan",
)
BREAKER = RuleText(
    "breaker-kind",
    "Breaker",
    "A standard rating, one pole for 120 V and two for 240 V or for a multiwire pair; a handle tie"
    " joins two neighbours.",
    "NEC 240.6(A)",
    "code",
)
PANEL = RuleText(
    "panel-as-given",
    "Panel as the shop gives it",
    "Place, ratings, terminals and number of spaces of the panel are those of the shop.",
    "plan file against the shop",
    "plan",
)
RULES = registry(SPACES, TANDEM, SPARE, BREAKER, PANEL)


def leg_of(space: int) -> str:
    """The leg of a space: odd left, even right, each row on one leg.

    >>> "".join(leg_of(space) for space in range(1, 9))
    'AABBAABB'
    """
    return "AB"[(space - 1) // 2 % 2]


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each fault in a panel."""
    panels = {panel.id: panel for panel in reading.plan.panels}
    for given in reading.shop.supply.panels:
        panel = panels.get(given.id)
        if panel is None:
            says = f"panel {given.id} of the shop is not in the plan"
            yield PANEL.finding(given.id, says, edition=reading.edition, fix="plan the shop again")
            continue
        place = reading.shop.position(given)
        for detail, says in (
            *_as_given(panel, given, place),
            *_listing_faults(panel),
            *_feeder_faults(reading, panel),
        ):
            rule = PANEL if detail == "given" else SPACES
            fix = f"write the spaces of {panel.id} again from its breakers"
            yield rule.finding(panel.id, says, edition=reading.edition, detail=says, fix=fix)
        for circuit in reading.plan.circuits:
            if circuit.panel == panel.id:
                yield from _breaker(reading, panel, given, circuit)
    yield from _spare(reading)


def _as_given(panel: PanelPlan, given: Panel, place: Xyz) -> Iterator[tuple[str, str]]:
    """Where the panel differs from the shop's."""
    if dist(panel.place, place) > SAME_FT:
        yield "given", f"panel {panel.id} is drawn at {panel.place}, the shop says {place}"
    main = None if given.main == "main lug" else given.main
    if panel.main.kind == "back-fed" and main is None:
        main = given.feeder.breaker_amps  # one that is added
    for what, found, wanted in (
        ("bus", panel.bus_amps, given.bus_amps),
        ("main", panel.main.amps, main),
        ("terminals", panel.terminals_c, 75 if given.terminals == "75 C" else 60),
        ("number of spaces", len({entry.space for entry in panel.spaces}), given.spaces),
        ("last space", max((entry.space for entry in panel.spaces), default=0), given.spaces),
    ):
        if found != wanted:
            yield "given", f"{what} of panel {panel.id} is {found}, the shop says {wanted}"


def _listing_faults(panel: PanelPlan) -> Iterator[tuple[str, str]]:
    """Entries on the wrong leg, two in one space, or kept free and used at once."""
    entries = Counter((entry.space, entry.tandem) for entry in panel.spaces)
    whole = {space for space, half in entries if half is None}
    for (space, half), count in entries.items():
        if count > 1 or (half is not None and space in whole):
            yield "space", f"space {space} of {panel.id} is listed more than once"
    for entry in panel.spaces:
        if entry.leg != leg_of(entry.space):
            says = f"space {entry.space} of {panel.id} is on leg {leg_of(entry.space)}"
            yield "leg", f"{says}, the plan says {entry.leg}"
        if entry.circuit is not None and entry.reserved_for is not None:
            yield "spare", f"space {entry.space} of {panel.id} is reserved and used"
        if entry.circuit is None and (entry.pole or entry.tandem) is not None:
            yield "pole", f"space {entry.space} of {panel.id} has a pole and no circuit"


def _feeder_faults(reading: Reading, panel: PanelPlan) -> Iterator[tuple[str, str]]:
    """Spaces kept for what is not fed from here, or none for a panel that is."""
    fed = {p.id for p in reading.shop.supply.panels if p.feeder.source == panel.id}
    fed |= {MAIN} if panel.main.kind == "back-fed" else set()
    later = {changeover_of(draft.machine) for draft in reading.plan.changeovers or ()}
    later |= {later_machine_of(one.machine) for one in reading.plan.later_machines or ()}
    kept: dict[str, list[int]] = {name: [] for name in sorted(fed)}
    for entry in panel.spaces:
        if entry.reserved_for in fed:
            kept[entry.reserved_for].append(entry.space)
        elif entry.reserved_for not in (None, "spare", *later):
            says = f"space {entry.space} of {panel.id} is kept for {entry.reserved_for}"
            yield "spare", f"{says}, which nothing in the plan asks for"
    for name, spaces in kept.items():
        if len(spaces) != 2 or spaces[1] - spaces[0] != COLUMN_STEP:
            what = "back-fed main" if name == MAIN else f"breaker that feeds {name}"
            says = f"the {what} has spaces {spaces} of {panel.id}"
            yield "feeder", f"{says}, not one and the one below it"


def _spare(reading: Reading) -> Iterator[Finding]:
    """Too few spaces marked spare and free, in all panels together."""
    entries = [entry for panel in reading.plan.panels for entry in panel.spaces]
    kept = {"spare", *(later_machine_of(one.machine) for one in reading.plan.later_machines or ())}
    spare = [e for e in entries if e.reserved_for in kept and e.circuit is None]
    wished = reading.shop.later.spare_spaces
    if len(spare) < wished:
        listed = " and ".join(panel.id for panel in reading.plan.panels)
        yield SPARE.finding(
            listed,
            f"panel {listed} keeps {len(spare)} spaces free, {wished} are wished for",
            edition=reading.edition,
            found=float(len(spare)),
            limit=float(wished),
            unit="spaces",
            fix="use fewer circuits, a larger panel, or ask for fewer spare spaces",
        )


def _breaker(
    reading: Reading, panel: PanelPlan, given: Panel, circuit: CircuitPlan
) -> Iterator[Finding]:
    """Faults of one breaker: its spaces, its kind, its listing."""
    breaker, edition = circuit.breaker, reading.edition
    entries = sorted(
        (entry for entry in panel.spaces if entry.circuit == circuit.id),
        key=lambda entry: (entry.space, entry.tandem or ""),
    )
    fix = f"give {circuit.id} free spaces of {panel.id}"
    for says in _space_faults(circuit, entries, given.spaces):
        yield SPACES.finding(circuit.id, says, edition=edition, detail=says, fix=fix)
    if fault := _tandem_fault(circuit, entries, given):
        yield TANDEM.finding(circuit.id, fault, edition=edition, fix=fix)
    if circuit.life == "new" and breaker.amps not in standard_ratings_amps(edition):
        yield BREAKER.finding(
            circuit.id,
            f"{circuit.id} has a breaker of {breaker.amps:g} A, which is no standard rating",
            edition=edition,
            detail="rating",
            found=breaker.amps,
            unit="A",
            fix="choose the next smaller standard rating",
        )
    poles = circuit.volts // 120 if circuit.pole is None else 2
    pole_of_none = circuit.pole is not None and circuit.multiwire_with is None
    wrong_kind = breaker.gfci != (breaker.kind == "gfci")
    if breaker.poles != poles or pole_of_none or wrong_kind:
        says = (
            f"{circuit.id} of {circuit.volts} V has a {breaker.poles}-pole {breaker.kind} breaker"
        )
        says += ", marked GFCI" if breaker.gfci else ", not marked GFCI"
        fix = "one pole for 120 V, two for 240 V or a pair, a pole each; kind and mark must agree"
        yield BREAKER.finding(circuit.id, says, edition=edition, detail="kind", fix=fix)
    if breaker.handle_tie and not _has_partner(reading, circuit):
        says = f"{circuit.id} has a handle tie and no neighbour that it is tied to"
        fix = f"tie {circuit.id} to its partner beside it, or take the tie away"
        yield BREAKER.finding(circuit.id, says, edition=edition, detail="tie", fix=fix)


def _has_partner(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether another single pole is tied to this one: in the next space of its column."""
    spaces = circuit.breaker.spaces
    return circuit.breaker.poles == 1 and any(
        other.breaker.handle_tie
        and other.breaker.poles == 1
        and circuit.multiwire_with in (None, other.id)
        and abs(other.breaker.spaces[0] - spaces[0]) == COLUMN_STEP
        for other in reading.plan.circuits
        if other.panel == circuit.panel
    )


def _space_faults(circuit: CircuitPlan, entries: list[Space], spaces: int) -> Iterator[str]:
    """What is wrong with the spaces of a breaker."""
    name, taken, mine = circuit.id, circuit.breaker.spaces, circuit.fed_from
    if [entry.space for entry in entries] != sorted(mine):
        listed = [entry.space for entry in entries]
        yield f"{name} takes spaces {list(mine)}, the panel lists {listed}"
    first = circuit.pole or 1
    if [entry.pole for entry in entries] != list(range(first, first + len(entries))):
        yield f"{name}: its poles are not numbered from {first} in its spaces"
    if any(not 1 <= space <= spaces for space in taken):
        yield f"{name} takes spaces {list(taken)}, the panel has {spaces}"
    if circuit.breaker.poles == 1 and len(taken) != 1:
        yield f"{name} has one pole and {len(taken)} spaces"
    if circuit.hot_space not in (None, *taken):
        yield f"{name}: its 120 V outlets hang on space {circuit.hot_space}, which it has not"
    if circuit.breaker.poles == 2 and (len(taken) != 2 or taken[1] != taken[0] + 2):
        yield f"{name} has two poles in spaces {list(taken)}, not one below the other"


def _tandem_fault(circuit: CircuitPlan, entries: list[Space], given: Panel) -> str | None:
    """Why a breaker may not be half a tandem; None when it is none or may be."""
    is_tandem = circuit.breaker.kind == "tandem"
    if is_tandem != any(entry.tandem is not None for entry in entries):
        return f"{circuit.id}: breaker and panel listing do not agree on a tandem"
    if not is_tandem:
        return None
    if circuit.breaker.poles == 2 or circuit.breaker.gfci or circuit.multiwire_with is not None:
        return f"{circuit.id} has two poles, GFCI or a shared neutral, and is half a tandem"
    if circuit.life == "new" and any(e.space not in given.tandem_spaces for e in entries):
        return f"{circuit.id} is a tandem in space {entries[0].space}, where none is allowed"
    return None
