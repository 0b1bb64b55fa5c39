"""Shortages: what is too little for everything together, in the owner's words, with remedies."""

from collections.abc import Mapping
from math import ceil
from typing import Final

from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from models.shop.facts import TRADE_SIZES
from solver.candidate import AREA, VOLUME
from solver.causes import Cause, Remedy
from solver.circuit import Circuits
from solver.garage_cause import garage_cause
from solver.panel import free_spaces
from solver.relief import junction_beside

PANEL_SPACES: Final = (6, 8, 12, 16, 20, 24, 30, 32, 40, 42, 54, 60)  # common practice, no source
MOST_NAMED: Final = 6  # boxes in one sentence


class Shortages:
    """Turns what is short of panel spaces, raceways and boxes into causes."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits, self.shop = circuits, circuits.shop

    def causes(self, short: Mapping[tuple[str, str], int]) -> list[Cause]:
        """What the least shortage of panel spaces, raceways and boxes says."""
        spaces = max(short.get(("spaces", self._panel), 0), 0)
        pairs = short.get(("pairs", self._panel), 0)
        causes = [self._spaces(spaces, pairs)] if spaces or pairs else []
        if few := short.get(("light circuits", "lights"), 0):
            causes.append(self._few_lights(few))
        needs = sorted(name for row, name in short if row == "garage circuit")
        causes += [garage_cause(self.shop, name) for name in needs[:1]]
        if short.get(("pinned spaces", self._panel), 0):
            causes.append(self._pinned_spaces())
        for (row, thing), missing in sorted(short.items()):
            if row in ("passage", "passage heat"):
                causes.append(self._passage(row, thing, missing))
            elif row == "raceway area":
                causes.append(self._raceway_full(thing, missing))
            elif row == "raceway heat":
                causes.append(self._raceway_hot(thing, missing))
            elif row == "box volume":
                causes.append(self._box_full(thing, missing))
        return causes

    def _few_lights(self, missing: int) -> Cause:
        wanted = self.shop.code.light_circuits
        says = (
            f"the lights make {wanted - missing} circuits, {wanted} are wished for: lights of one"
            " switch stay on one circuit"
        )
        fewer = Remedy(
            f"{wanted - missing} lighting circuits, or another switch for some of the lights",
            (("code.light_circuits", wanted - missing),),
            gives_up=True,
        )
        return Cause("light circuits", "lights", says, (fewer,))

    @property
    def _panel(self) -> str:
        return self.shop.panel().id

    def _spaces(self, spaces: int, pairs: int) -> Cause:
        panel, spare = self.shop.panel(), self.shop.later.spare_spaces
        free = len(free_spaces(self.shop, panel))
        least = panel.spaces + 2 * ceil(max(spaces, 2 * pairs) / 2)
        wanted = next((sold for sold in PANEL_SPACES if sold >= least), least)
        kept = f", {spare} of them kept spare" if spare else ""
        says = f"panel {panel.id} is {spaces} spaces short: {free} are free{kept}"
        if not spaces:
            says = f"panel {panel.id} has no two free neighbours for a two-pole breaker"
        remedies = [
            Remedy(
                f"a panel with {wanted} spaces", ((f"supply.panels[{panel.id}].spaces", wanted),)
            )
        ]
        if spare:
            keep = max(0, spare - spaces)
            says_kept = f"keep {keep or 'no'} spaces spare"
            change = ("later.spare_spaces", keep or None)
            remedies.append(Remedy(says_kept, (change,), gives_up=True))
        apart = [box.id for box in self.shop.boxes if box.two_circuits]
        if apart and spaces:
            changes = tuple((f"boxes[{name}].two_circuits", None) for name in apart)
            more = f" and {len(apart) - MOST_NAMED} more boxes" if len(apart) > MOST_NAMED else ""
            named = ", ".join(apart[:MOST_NAMED]) + more
            says_share = f"let the two yokes of {named} share a circuit"
            remedies.append(Remedy(says_share, changes, gives_up=True))
        return Cause("spaces", panel.id, says, tuple(remedies))

    def _raceway_full(self, name: str, missing: int) -> Cause:
        raceway = self.circuits.ways.raceways[name].raceway
        inside = raceway_area_in2(raceway.kind, raceway.trade_size)
        needed = fill_limit(3) * inside + missing / AREA
        says = (
            f"raceway {name} ({raceway.kind} {raceway.trade_size}) is full: the circuits need"
            f" {needed:.3f} in² of {fill_limit(3) * inside:.3f} in² (chapter 9 Table 1)"
        )
        larger = TRADE_SIZES[TRADE_SIZES.index(raceway.trade_size) + 1 :]
        fits = (s for s in larger if fill_limit(3) * raceway_area_in2(raceway.kind, s) >= needed)
        remedies = tuple(
            Remedy(f"trade size {size}", ((f"routes.raceways[{name}].trade_size", size),))
            for size in list(fits)[:1]
        )
        return Cause("raceway full", name, says, remedies)

    def _raceway_hot(self, name: str, missing: int) -> Cause:
        raceway = self.circuits.ways.raceways[name].raceway
        says = (
            f"raceway {name} would hold {missing} current-carrying conductors more than its"
            " circuits survive (310.15(C)(1))"
        )
        second = {
            "kind": raceway.kind,
            "trade_size": raceway.trade_size,
            "ends": list(raceway.ends),
        }
        remedy = Remedy("lay a second raceway beside it", ((f"routes.raceways[{name}-2]", second),))
        return Cause("raceway heat", name, says, (remedy,))

    def _passage(self, row: str, name: str, missing: int) -> Cause:
        passage = next(p for p in self.shop.routes.passages if p.id == name)
        if row == "passage":
            says = f"passage {name} takes {passage.takes} cables, {missing} more have to go through"
        else:
            says = (
                f"cables bundled in passage {name} have {missing} current-carrying conductors more"
                " than they survive (334.80)"
            )
        second = passage.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude={"id"})
        remedy = Remedy("another passage beside it", ((f"routes.passages[{name}-2]", second),))
        return Cause("passage", name, says, (remedy,))

    def _pinned_spaces(self) -> Cause:
        says = f"pinned spaces of panel {self._panel} leave a two-pole breaker no neighbours"
        kept = [
            {key: value for key, value in pin.items() if key != "spaces"}
            for pin in self.shop.canonical()["pins"]["circuits"]
        ]
        remedy = Remedy("drop the pinned spaces", (("pins.circuits", kept),))
        return Cause("pinned spaces", self._panel, says, (remedy,))

    def _box_full(self, name: str, missing: int) -> Cause:
        says = (
            f"box {name}: its contents need {missing / VOLUME:.1f} in³ more than the largest box"
            " there is (314.16)"
        )
        junction = next((j for j in self.shop.routes.junction_boxes if j.id == name), None)
        if junction is not None:
            remedy = Remedy(
                "a 4-11/16 x 2-1/8 box",
                ((f"routes.junction_boxes[{name}].box", "4-11/16 x 2-1/8 square"),),
            )
            return Cause("box full", name, says, (remedy,))
        box = next(b for b in self.shop.boxes if b.id == name)
        shared = Remedy(
            f"let the two yokes of {name} share a circuit",
            ((f"boxes[{name}].two_circuits", None),),
            gives_up=True,
        )
        beside = junction_beside(self.shop, box)
        remedies = [beside] if beside is not None else []
        return Cause("box full", name, says, (*remedies, *((shared,) if box.two_circuits else ())))
