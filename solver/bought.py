"""What a change to a shop touches, and what it has bought that no price book has."""

import re
from typing import Any, Final

_PANEL: Final = re.compile(r"supply\.panels\[([^\]]+)\]\.(\w+)")


def thing_changed(path: str, value: Any) -> str:
    """The thing of the shop that a change is made to: a feeder and its panel are two.

    >>> [thing_changed(f"supply.panels[P].{key}", 0) for key in ("feeder.breaker", "bus", "spaces")]
    ['the feeder of P', 'panel P', 'panel P']
    >>> thing_changed("boxes[E1].two_circuits", None)
    'boxes[E1]'
    """
    if path.endswith("[+]"):
        return f"{path} {value}"
    if (found := _PANEL.match(path)) is not None:
        return f"the feeder of {found[1]}" if found[2] == "feeder" else f"panel {found[1]}"
    thing = re.match(r"[^\]]*\]", path)
    return path if thing is None else thing[0]


def bought_unpriced(path: str, value: Any) -> str:
    """What a change has bought that is in no price book; empty when nothing.

    >>> bought_unpriced("supply.service.rating", "400 A")
    'the service'
    >>> bought_unpriced("supply.panels[P].terminals", "75 C")  # only read from the panel
    ''
    """
    if path.startswith("supply.service"):
        return "the service"
    if path.startswith("use.never_together") and value.get("by") == "interlock":
        return f"the interlock of {' and '.join(value['machines'])}"
    found = _PANEL.match(path)
    if found is None or found[2] == "terminals":
        return ""
    if found[2] == "disconnect":
        return "the switch" if value == "separate switch" else ""
    return thing_changed(path, value)
