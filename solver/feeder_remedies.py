"""What brings a feeder up to its calculated load: a larger one, or less that counts. Amperes."""

from collections.abc import Mapping
from itertools import combinations
from typing import Final, Literal

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.conductors import circular_mils
from models.formulas.feeders import SIZES_OF, FeederSizes, feeder_sizes
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.formulas.overcurrent import largest_breaker_amps
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.shop import Panel, Shop
from models.shop.facts import TRADE_SIZES
from models.shop.use import NeverTogether
from models.shop_edit import Change, changed
from models.tables import NotInTableError
from solver.causes import Remedy
from solver.load_calculation import FEEDER_VOLTS, calculated_va, likely_seats, machines_by_load

Material = Literal["copper", "aluminum"]
PAIR: Final = 2
MOST_INTERLOCKS: Final = 3
BUSES_AMPS: Final = (100, 125, 150, 200, 225, 400)  # common practice, no source
MOST_HEAVY: Final = 6  # machines that an interlock is thought of for
OTHER: Final[dict[str, Material]] = {"aluminum": "copper", "copper": "aluminum"}
ASK: Final = Remedy(
    "ask the authority whether it leaves out what nobody is there to attend (220.60, 430.26), and"
    " say `noncoincident: attended`",
    (("code.noncoincident", "attended"),),
)


def feeder_remedies(shop: Shop, panel: Panel, load_amps: float) -> list[Remedy]:
    """Feeders that carry the load; else less load, and in the end several changes together."""
    material = panel.feeder.conductors.material
    same = larger_feeder(shop, panel, load_amps, material)
    feeder = same or larger_feeder(shop, panel, load_amps, OTHER[material])
    remedies = [] if feeder is None else [feeder]
    if shop.code.noncoincident is None:
        remedies.append(ASK)
    seats = likely_seats(shop)
    if (lock := _best_interlock(shop, seats)) is not None:
        remedies.append(lock)
    if same is None and lock is not None and shop.code.noncoincident is not None:
        remedies += _interlocks_and_feeder(shop, panel, load_amps, lock, seats)
    return remedies


def _best_interlock(shop: Shop, seats: Mapping[str, str]) -> Remedy | None:
    """Between the two heavy machines where it takes most off the calculation."""
    locks = combinations(machines_by_load(shop)[:MOST_HEAVY], PAIR)
    loads = {pair: calculated_va(_locked(shop, pair), seats) for pair in locks}
    best = min(loads, key=lambda pair: loads[pair], default=None)
    if best is None or loads[best] >= calculated_va(shop, seats):
        return None
    lock = {"machines": list(best), "by": "interlock", "device": "to be chosen"}
    says = f"a listed interlock between {' and '.join(best)}"
    return Remedy(says, (("use.never_together[+]", lock),))


def _locked(shop: Shop, pair: tuple[str, ...]) -> Shop:
    """A shop with an interlock between two machines."""
    lock = NeverTogether(machines=pair, by="interlock")
    use = shop.use.model_copy(update={"never_together": (*shop.use.never_together, lock)})
    return shop.model_copy(update={"use": use})


def _interlocks_and_feeder(
    shop: Shop, panel: Panel, load_amps: float, first: Remedy, seats: Mapping[str, str]
) -> list[Remedy]:
    """Less load by interlocks, until a feeder of the same material carries it.

    What each takes off the calculation is worked out for the whole shop.
    """
    began, locks = calculated_va(shop, seats), [first]
    while len(locks) <= MOST_INTERLOCKS:
        now = changed(shop, [change for lock in locks for change in lock.changes])
        left = load_amps - (began - calculated_va(now, seats)) / FEEDER_VOLTS
        feeder = larger_feeder(now, panel, left, panel.feeder.conductors.material)
        if feeder is not None:
            parts = [*locks, feeder]
            changes = tuple(change for part in parts for change in part.changes)
            return [Remedy("; ".join(part.says for part in parts), changes)]
        if (lock := _best_interlock(now, seats)) is None:
            break
        locks.append(lock)
    return []


def larger_feeder(shop: Shop, panel: Panel, load_amps: float, material: Material) -> Remedy | None:
    """A feeder, and a panel, large enough for the load; None where the tables have none."""
    marked_75 = panel.terminals == "75 C"
    column_c = 75 if marked_75 and panel.feeder.raceway is not None else 60
    try:
        sizes = feeder_sizes(
            load_amps,
            load_amps,
            edition=shop.code.edition,
            material=material,
            terminal_c=column_c,
        )
        ground = _ground(sizes, material, column_c, shop.code.edition)
    except NotInTableError:
        return None
    breaker = f"{sizes.breaker_amps} A"
    path = f"supply.panels[{panel.id}]"
    conductors = {
        "hot": sizes.hot_awg,
        "neutral": sizes.hot_awg,
        "ground": ground,
        "material": material,
    }
    changes: list[Change] = [
        (f"{path}.feeder.breaker", breaker),
        (f"{path}.feeder.conductors", conductors),
    ]
    says = f"a feeder of {breaker}, {sizes.hot_awg} AWG {material}"
    if (raceway := _larger_raceway(panel, sizes.hot_awg, ground)) is not None:
        changes.append((f"{path}.feeder.raceway", raceway))
        says += f" in {raceway}"
    if panel.bus_amps < sizes.breaker_amps:
        bus = next((a for a in BUSES_AMPS if a >= sizes.breaker_amps), sizes.breaker_amps)
        changes.append((f"{path}.bus", f"{bus} A"))
        says += f", and a panel with a bus of {bus} A"
    if panel.main != "main lug" and panel.main < sizes.breaker_amps:
        changes.append((f"{path}.main", breaker))
        says += f" and a main breaker of {breaker}"
    return Remedy(says, tuple(changes))


def _ground(sizes: FeederSizes, material: Material, column_c: int, edition: int) -> str:
    """The ground, larger in proportion where the hots are larger than their breaker asks for."""
    least_hot = next(
        awg
        for awg in SIZES_OF[material]
        if sizes.breaker_amps
        <= (
            largest_breaker_amps(
                awg,
                table_ampacity_amps(awg, column_c, material),
                several_receptacles=False,
                edition=edition,
                material=material,
            )
            or 0
        )
    )
    return enlarged_ground_awg(
        equipment_ground_awg(sizes.breaker_amps, material, circuit_awg=least_hot),
        minimum_cmil=circular_mils(least_hot),
        installed_cmil=circular_mils(sizes.hot_awg),
    )


def _larger_raceway(panel: Panel, hot_awg: str, ground_awg: str) -> str | None:
    """The raceway that the conductors of a larger feeder want; None where the old one does.

    Read as THWN-2, neutral as large as the hots. Where even 2 in is too small, nothing is named.
    """
    if panel.feeder.raceway is None:
        return None
    kind, _, old = panel.feeder.raceway.partition(" ")
    area_in2 = 3 * conductor_area_in2(hot_awg, "THWN-2") + conductor_area_in2(ground_awg, "THWN-2")
    larger = TRADE_SIZES[TRADE_SIZES.index(old) :]
    fits = (s for s in larger if fill_limit(4) * raceway_area_in2(kind, s) >= area_in2)
    size = next(fits, old)
    return None if size == old else f"{kind} {size}"
