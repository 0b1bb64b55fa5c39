"""Where a panel hangs: its handles within reach, and what the directory in its door says. Feet."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from models.plan import CircuitPlan, Finding
from models.quantities import feet_inches
from models.rules.reading import Reading
from models.rules.rule import SAME_FT, RuleText, registry
from models.shop import Panel

HIGHEST_HANDLE_FT: Final = 6 + 7 / 12  # 240.24(A)
SPACE_IN: Final = 1.0  # a breaker is one inch high; common practice, no source
MAIN_ABOVE_IN: Final = 5.0  # how far a main sits above the spaces; common practice, no source
VAGUE: Final = frozenset({"", "circuit", "misc", "miscellaneous", "power", "spare", "various"})
GENERAL: Final = {  # enough while only one circuit of the panel has such outlets
    "lights": "luminaire",
    "outlets": "receptacle",
    "plugs": "receptacle",
    "receptacles": "receptacle",
}

LOCATION = RuleText(
    "panel-location",
    "Breakers within reach",
    "The handle of the highest breaker, in its highest position, is not more than 6 ft 7 in above"
    " the floor. A panel is given by its centre; its spaces are taken as one inch each around it.",
    "NEC 240.24(A)",
    "code",
)
DIRECTORY = RuleText(
    "panel-directory",
    "Directory in the panel's door",
    "Every circuit is described by what it feeds, clearly and unlike every other one.",
    "NEC 408.4(A)",
    "code",
    rests_on_memory=True,
)
RULES = registry(LOCATION, DIRECTORY)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each panel that hangs too high and each circuit nobody can tell apart."""
    for panel in reading.shop.supply.panels:
        yield from _height(reading, panel)
    yield from _directory(reading)


def highest_handle_ft(centre_ft: float, panel: Panel) -> float:
    """Height of the highest handle, from the number of spaces and whether there is a main. [ft]"""
    main_in = 0.0 if panel.main == "main lug" else MAIN_ABOVE_IN
    return centre_ft + (panel.spaces / 2 * SPACE_IN / 2 + main_in) / 12


def _height(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A panel whose centre, or whose highest handle as far as can be told, is out of reach."""
    centre_ft = reading.shop.position(panel)[2]
    top_ft = highest_handle_ft(centre_ft, panel)
    if top_ft <= HIGHEST_HANDLE_FT + SAME_FT:
        return
    certain = centre_ft > HIGHEST_HANDLE_FT + SAME_FT
    at_ft, what = (centre_ft, "its centre") if certain else (top_ft, "its highest handle about")
    yield LOCATION.finding(
        panel.id,
        f"panel {panel.id} has {what} {feet_inches(at_ft)} above the floor, 6 ft 7 in is the most",
        edition=reading.edition,
        severity="violation" if certain else "warning",
        found=at_ft,
        limit=HIGHEST_HANDLE_FT,
        unit="ft",
        fix=f"hang {panel.id} lower" if certain else f"measure it, and hang {panel.id} lower",
    )


def _directory(reading: Reading) -> Iterator[Finding]:
    """Circuits with no description, a vague one, or the same as another circuit of the panel."""
    told = Counter((c.panel, _plain(c.says)) for c in reading.plan.circuits)
    for circuit in reading.plan.circuits:
        words = _plain(circuit.says)
        if words in VAGUE or _one_of_several(reading, circuit, words):
            says = f"the directory says {circuit.says!r} of {circuit.id}: what does it feed?"
        elif told[circuit.panel, words] > 1:
            says = f"the directory says {circuit.says!r} of {circuit.id} and of another circuit"
        else:
            continue
        yield DIRECTORY.finding(
            circuit.id,
            says,
            edition=reading.edition,
            severity="violation" if circuit.life == "new" else "warning",
            fix=f"say what {circuit.id} feeds, and where",
        )


def _one_of_several(reading: Reading, circuit: CircuitPlan, words: str) -> bool:
    """Whether a general word is all that is said, and another circuit of the panel fits it too."""
    kind = GENERAL.get(words)
    fitting = {o.circuit for o in reading.plan.outlets if o.kind == kind}
    return any(
        other != circuit.id and reading.circuits[other].panel == circuit.panel for other in fitting
    )


def _plain(says: str) -> str:
    """A description without what makes no difference to a reader."""
    return " ".join(says.lower().split()).strip(" .:,")
