"""Why a dwelling's garage gets no receptacle circuit, and what may help (NEC 210.11(C)(4))."""

from collections.abc import Iterator
from typing import Final

from models.formulas.receptacles import receptacle
from models.rules.required_outlets import GARAGE_CIRCUIT_AMPS
from models.shop import Shop
from solver.causes import Cause, Remedy
from solver.garage import GarageNeed, garage_needs

GARAGE_RULE: Final = "garage-branch-circuit"  # the rule that asks for it


def garage_cause(shop: Shop, missing: str = "") -> Cause:
    """The cause; `missing` is the need by its name, if that is known."""
    needs = garage_needs(shop)
    need = next((one for one in needs if one.name == missing), next(iter(needs), None))
    if need is None or not need.yokes:
        says = "add a 120 V receptacle of 20 A inside: a dwelling's garage has a circuit for them"
        return Cause(GARAGE_RULE, "garage", f"{says} (NEC 210.11(C)(4))", ())
    says = (
        f"no 120 V 20 A circuit can feed {' or '.join(sorted(need.yokes))} with receptacles alone"
        " on it, and a dwelling's garage has one (NEC 210.11(C)(4))"
    )
    return Cause(GARAGE_RULE, "garage", says, (*_unpinned(shop, need), *_larger(shop, need)))


def _unpinned(shop: Shop, need: GarageNeed) -> Iterator[Remedy]:
    """No pin on the garage's receptacles."""
    pins = shop.canonical().get("pins", {})
    for key, members in (("together", list), ("circuits", lambda pin: pin["yokes"])):
        groups = pins.get(key, [])
        kept = [group for group in groups if not need.yokes & set(members(group))]
        if len(kept) < len(groups):
            yield Remedy("drop this pin", ((f"pins.{key}", kept or None),))


def _larger(shop: Shop, need: GarageNeed) -> Iterator[Remedy]:
    """A receptacle for 20 A: one of 15 A alone may not be on such a circuit (210.21(B)(1))."""
    for box in shop.boxes:
        for yoke, kind, configuration, _ in box.devices:
            small = configuration and receptacle(configuration).amps < GARAGE_CIRCUIT_AMPS
            if yoke in need.yokes and kind == "single" and configuration and small:
                yokes = [text.replace(configuration, "5-20R") for text in box.yokes]
                yield Remedy(f"a 5-20R at {yoke}", ((f"boxes[{box.id}].yokes", yokes),))
                return
