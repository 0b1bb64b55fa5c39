"""What brings a feeder up to its calculated load: a larger one, or less that counts. VA, amperes."""

from itertools import combinations
from typing import Final, Literal

from models.formulas.feeders import FeederSizes, feeder_sizes
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.shop import Panel, Shop
from models.shop_edit import Change, changed
from models.tables import NotInTableError
from solver.causes import Remedy
from solver.load_calculation import FEEDER_VOLTS, calculated_va, machines_by_load

Material = Literal["copper", "aluminum"]
PAIR: Final = 2
MOST_INTERLOCKS: Final = 3
MOST_HEAVY: Final = 6  # machines that an interlock is thought of for
TRADE_SIZES: Final = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2")
OTHER: Final[dict[str, Material]] = {"aluminum": "copper", "copper": "aluminum"}
ASK: Final = Remedy(
    "ask the authority whether it leaves out what nobody is there to attend (220.60, 430.26), and"
    " say `noncoincident: attended`",
    (("code.noncoincident", "attended"),),
)


def feeder_remedies(shop: Shop, panel: Panel, load_amps: float) -> list[Remedy]:
    """Feeders that carry the load; else less load, and in the end several changes together."""
    material = panel.feeder.conductors.material
    same = _feeder(shop, panel, load_amps, material)
    feeder = same or _feeder(shop, panel, load_amps, OTHER[material])
    remedies = [] if feeder is None else [feeder]
    if shop.code.noncoincident is None:
        remedies.append(ASK)
    if (lock := _best_interlock(shop)) is not None:
        remedies.append(lock)
    if same is None:
        remedies += _several(shop, panel, load_amps)
    return remedies


def _best_interlock(shop: Shop) -> Remedy | None:
    """Between the two heavy machines where it takes most off the calculation."""
    heavy = machines_by_load(shop)[:MOST_HEAVY]
    locks = [_interlock(*pair) for pair in combinations(heavy, PAIR)]
    loads = {lock.says: calculated_va(changed(shop, lock.changes)) for lock in locks}
    best = min(locks, key=lambda lock: loads[lock.says], default=None)
    return best if best is not None and loads[best.says] < calculated_va(shop) else None


def _interlock(one: str, two: str) -> Remedy:
    """A device that keeps one machine off while another runs."""
    lock = {"machines": [one, two], "by": "interlock", "device": "to be chosen"}
    says = f"a listed interlock between {one} and {two}"
    return Remedy(says, (("use.never_together[+]", lock),))


def _several(shop: Shop, panel: Panel, load_amps: float) -> list[Remedy]:
    """Less load by the authority's word and by interlocks, until a feeder like this carries it.

    What each change takes off the calculation is worked out for the whole shop.
    """
    began, material = calculated_va(shop), panel.feeder.conductors.material
    taken = [ASK] if shop.code.noncoincident is None else []
    for _ in range(MOST_INTERLOCKS + 1):
        now = changed(shop, [change for remedy in taken for change in remedy.changes])
        left = load_amps - (began - calculated_va(now)) / FEEDER_VOLTS
        feeder = _feeder(now, panel, left, material)
        if feeder is not None:
            taken.append(feeder)
            changes = tuple(change for remedy in taken for change in remedy.changes)
            return [Remedy("; ".join(remedy.says for remedy in taken), changes)]
        if (lock := _best_interlock(now)) is None:
            break
        taken.append(lock)
    return []


def _feeder(shop: Shop, panel: Panel, load_amps: float, material: Material) -> Remedy | None:
    """A feeder, and a panel, large enough for the load; None where the tables have none."""
    marked_75 = panel.terminals == "75 C"
    try:
        sizes = feeder_sizes(
            load_amps,
            load_amps,
            edition=shop.code.edition,
            material=material,
            terminal_c=75 if marked_75 and panel.feeder.raceway is not None else 60,
        )
    except NotInTableError:
        return None
    breaker = f"{sizes.breaker_amps} A"
    path = f"supply.panels[{panel.id}]"
    conductors = {
        "hot": sizes.hot_awg,
        "neutral": sizes.hot_awg,
        "ground": sizes.ground_awg,
        "material": material,
    }
    changes: list[Change] = [
        (f"{path}.feeder.breaker", breaker),
        (f"{path}.feeder.conductors", conductors),
    ]
    says = f"a feeder of {breaker}, {sizes.hot_awg} AWG {material}"
    if (raceway := _larger_raceway(panel, sizes)) is not None:
        changes.append((f"{path}.feeder.raceway", raceway))
        says += f" in {raceway}"
    if panel.bus_amps < sizes.breaker_amps:
        changes.append((f"{path}.bus", breaker))
        says += f", and a panel with a bus of {breaker}"
    if panel.main != "main lug" and panel.main < sizes.breaker_amps:
        changes.append((f"{path}.main", breaker))
        says += f" and a main breaker of {breaker}"
    return Remedy(says, tuple(changes))


def _larger_raceway(panel: Panel, sizes: FeederSizes) -> str | None:
    """The raceway that the conductors of a larger feeder want; None where the old one does.

    Read as THWN-2, neutral as large as the hots. Where even 2 in is too small, nothing is named.
    """
    if panel.feeder.raceway is None:
        return None
    kind, _, old = panel.feeder.raceway.partition(" ")
    area_in2 = 3 * conductor_area_in2(sizes.hot_awg, "THWN-2")
    area_in2 += conductor_area_in2(sizes.ground_awg, "THWN-2")
    larger = TRADE_SIZES[TRADE_SIZES.index(old) :]
    fits = (s for s in larger if fill_limit(4) * raceway_area_in2(kind, s) >= area_in2)
    size = next(fits, old)
    return None if size == old else f"{kind} {size}"
