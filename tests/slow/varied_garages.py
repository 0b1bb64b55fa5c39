"""The one-bay garage changed at random: heat, ceilings, people, rules of use, raceways."""

import random

from models.shop import Shop
from models.shop_edit import Change, changed

MACHINES = (
    "table-saw", "miter-saw", "drill-press", "band-saw", "collector", "compressor", "chargers",
    "opener",
)  # fmt: skip
COLLECTOR: dict[str, object] = {
    "machine": "collector",
    "follows": ["table-saw", "band-saw", "miter-saw"],
}


def varied_garage(garage: Shop, seed: int) -> Shop:
    """One variant. Invented."""
    rng = random.Random(seed)
    changes: list[Change] = [
        ("supply.panels[P].spaces", 24),
        ("code.edition", rng.choice([2017, 2020, 2023])),
        *_heat(rng),
        *_use(rng),
        *_build(rng),
    ]
    return changed(garage, changes)


def _heat(rng: random.Random) -> list[Change]:
    """Temperatures, what runs over the ceiling, and a part that has another climate."""
    changes: list[Change] = []
    if rng.random() < 0.4:
        heat = {"room": f"{rng.choice([28, 36, 41])} C", "attic": f"{rng.choice([45, 57, 63])} C"}
        changes.append(("building.ambient", heat))
    if rng.random() < 0.5:
        changes.append(("building.ceiling_runs", rng.choice(["joists", "surface", "attic"])))
    if rng.random() < 0.7:
        area: dict[str, object] = {
            "from": ["0 ft", f"{rng.choice([0, 6, 12])} ft"],
            "to": [f"{rng.choice([6, 14])} ft", "24 ft"],
            "ambient": f"{rng.choice([25, 38, 44])} C",
        }
        if rng.random() < 0.6:
            area["attic"] = f"{rng.choice([40, 58, 66])} C"
        if rng.random() < 0.3:
            area["ceiling"] = f"{rng.choice([8, 9, 10])} ft"
        if rng.random() < 0.3:
            area["ceiling_runs"] = rng.choice(["joists", "surface"])
        changes.append(("building.areas[kiln-room]", area))
    return changes


def _use(rng: random.Random) -> list[Change]:
    """Followers of followers, groups, people here or there, machines left running."""
    followers: list[dict[str, object]] = [COLLECTOR]
    if rng.random() < 0.5:
        followers.append({"machine": "compressor", "follows": ["collector"]})
    if rng.random() < 0.3:
        followers.append({"machine": "drill-press", "follows": ["hand-tool"]})
    changes: list[Change] = [("use.followers", followers)]
    if rng.random() < 0.6:
        apart = rng.sample(MACHINES, rng.choice([2, 3, 4]))
        at_most = rng.choice([1, 1, 2]) if len(apart) > 2 else 1
        group = {"machines": apart, "at_most": at_most, "by": "promise"}
        changes.append(("use.never_together", [group]))
    for machine in MACHINES:
        if rng.random() < 0.2:
            changes.append((f"machines[{machine}].continuous", "yes"))
    if rng.random() < 0.3:
        changes.append(("machines[drill-press].set_and_leave", "yes"))
    if rng.random() < 0.5:
        changes.append(("use.days[saturday].people", rng.choice([0, 2, 3, 5])))
    else:
        for name, south, north in (("front", 0, 10), ("back", 10, 24)):
            zone = {"from": ["0 ft", f"{south} ft"], "to": ["14 ft", f"{north} ft"]}
            changes.append((f"building.zones[{name}]", zone))
        people = {"front": rng.choice([0, 1]), "back": rng.choice([1, 2])}
        changes.append(("use.days[saturday].people", people))
    return changes


def _build(rng: random.Random) -> list[Change]:
    """Raceways, terminals, GFCI, what is minimized, the drop that is wished."""
    changes: list[Change] = []
    if rng.random() < 0.5:
        changes.append(("routes.raceways[R1].trade_size", rng.choice(["3/4", "1"])))
        changes.append(("routes.raceways[R2].trade_size", rng.choice(["1/2", "3/4"])))
        changes.append(("routes.raceways[R1].kind", rng.choice(["EMT", "PVC-40", "RMC", "ENT"])))
    if rng.random() < 0.4:
        changes.append(("supply.panels[P].terminals", "60 C"))
    if rng.random() < 0.3:
        changes.append(("prices.minimize", "copper"))
    if rng.random() < 0.3:
        changes.append(("code.gfci_at", rng.choice(["breaker", "device"])))
    if rng.random() < 0.3:
        changes.append(("code.lights_apart", "no"))
    if rng.random() < 0.3:
        changes.append(("boxes[W1].yokes", ["duplex 5-20R", "duplex 5-20R"]))
    if rng.random() < 0.3:
        changes.append(("boxes[L2].luminaire", f"{rng.choice([100, 333, 1000])} W"))
    if rng.random() < 0.2:
        changes.append(("code.voltage_drop_percent", rng.choice([1.5, 2])))
    return changes
