"""The spaces of a panel in words: of a tandem the half too, as on the panel's face, and for which
machine one is kept.
"""

from collections.abc import Sequence

from branchwright.words import spaces_text
from models.changeover_sides import spaces_words
from models.plan import CircuitPlan, Plan


def at_spaces(plan: Plan, circuit: CircuitPlan, spaces: Sequence[int] | None = None) -> str:
    """The spaces that feed a circuit, or those given, as a directory prints them: `5, 7`, `4a`."""
    return spaces_text(spaces or circuit.fed_from) + _half(plan, circuit)


def in_spaces(plan: Plan, circuit: CircuitPlan, spaces: Sequence[int] | None = None) -> str:
    """The same in a sentence: `spaces 5 and 7`, `space 4a`."""
    return spaces_words(spaces or circuit.fed_from) + _half(plan, circuit)


def named_spaces(plan: Plan, circuit: CircuitPlan, spaces: Sequence[int] | None = None) -> str:
    """The same in a table: `spaces 5, 7`, `space 4a`."""
    several = "s" * (len(spaces or circuit.fed_from) > 1)
    return f"space{several} {at_spaces(plan, circuit, spaces)}"


def _half(plan: Plan, circuit: CircuitPlan) -> str:
    """The half of a tandem that is a circuit's own: two circuits are in that space."""
    if circuit.breaker.kind != "tandem":
        return ""
    spaces = (one for panel in plan.panels if panel.id == circuit.panel for one in panel.spaces)
    return next((one.tandem or "" for one in spaces if one.circuit == circuit.id), "")
