"""Tiny invented shops in which circuits get in each other's way: at most six boxes, seeded.

By seed: raceways (small, hot, with a junction box), boxes of two gangs, a hot attic, 120 and 240 V,
dwellings and others, people and promises, machines that may choose, few spaces, pins and wishes.
"""

import random

WALLS = {"south": [0, 0], "east": [12, 0], "north": [12, 10], "west": [0, 10]}
KINDS = ("garage", "garage", "accessory building", "shop")


def tiny_shop(seed, *, multiwire=False, most_boxes=4):
    """One shop as the plain data of a shop file."""
    rng = random.Random(seed)
    boxes = boxes_of(rng, rng.randint(2, most_boxes))
    machines = machines_of(rng, boxes)
    shop = {
        "format": "branchwright-shop/1",
        "name": f"Tiny shop {seed}",
        "building": {
            "kind": rng.choice(KINDS),
            "dwelling": rng.random() < 0.5,
            "walls": [
                {"id": wall, "from": [f"{x} ft", f"{y} ft"]} for wall, (x, y) in WALLS.items()
            ],
            "ceiling": "8 ft",
            "ambient": {
                "room": f"{rng.choice([25, 30, 38])} C",
                "attic": f"{rng.choice([40, 50, 60, 66])} C",
            },
            "ceiling_runs": rng.choice(["attic", "attic", "joists"]),
        },
        "supply": {"panels": [panel_of(rng)]},
        "boxes": boxes,
        "machines": machines,
        "use": {"days": [{"id": "usual", "people": rng.choice([1, 2, 3])}]},
        "code": {
            "edition": rng.choice([2017, 2020, 2023]),
            "gfci_at": rng.choice(["either", "either", "either", "device", "breaker"]),
        },
        "later": {"spare_spaces": rng.choice([0, 0, 1, 2])},
    }
    if multiwire:
        shop["code"] |= {"multiwire": True, "ties": rng.choice(["handle tie", "common trip"])}
    if len(machines) > 1 and rng.random() < 0.4:
        names = [machine["id"] for machine in rng.sample(machines, 2)]
        shop["use"]["never_together"] = [{"machines": names, "by": "promise"}]
    if rng.random() < 0.15:
        shop["code"]["receptacles_per_circuit"] = rng.choice([2, 3])
    if rng.random() < 0.15:
        shop["code"]["voltage_drop_percent"] = rng.choice([0.6, 1.0])
    wishes(rng, shop)
    tubes(rng, shop)
    return shop


def panel_of(rng):
    """A panel on the west wall behind a feeder that is large enough for whatever is there."""
    return {
        "id": "P", "wall": "west", "y": "5 ft", "height": "5 ft", "bus": "200 A",
        "spaces": rng.choice([4, 6, 8, 12]),
        "terminals": rng.choice(["75 C", "60 C"]),
        "feeder": {
            "from": "house", "breaker": "100 A", "length": "30 ft", "raceway": "EMT 2",
            "conductors": {"hot": "1", "neutral": "1", "ground": "4"},
        },
    }  # fmt: skip


def boxes_of(rng, count):
    """Boxes on three walls, each at a place of its own."""
    places = [
        (wall, at) for wall in ("south", "east", "north") for at in range(1, 10) if wall or at
    ]
    made = []
    for number, (wall, at) in enumerate(rng.sample(places, count)):
        axis = "y" if wall == "east" else "x"
        box = {
            "id": f"B{number}",
            "wall": wall,
            axis: f"{at} ft",
            "height": f"{rng.choice([18, 44, 60, 84])} in",
        }
        kind = rng.random()
        if kind < 0.25:
            box |= {"yokes": ["duplex 5-20R", rng.choice(["duplex 5-20R", "single 5-20R"])]}
            box["two_circuits"] = rng.random() < 0.5
        elif kind < 0.4:
            box["yokes"] = [rng.choice(["single 6-20R", "single 6-30R", "single 6-15R"])]
        elif kind < 0.5:
            box["yokes"] = ["blank"]
        elif kind < 0.6:
            box["yokes"] = ["single 5-20R"]
        else:
            box["yokes"] = [rng.choice(["duplex 5-20R", "duplex 5-20R", "duplex 5-15R"])]
        made.append(box)
    if count < 4 and rng.random() < 0.35:
        made += [
            {"id": "S", "wall": "west", "y": "8 ft", "height": "4 ft", "yokes": ["switch"]},
            {"id": "L", "ceiling": ["6 ft", "5 ft"], "luminaire": "60 W", "switched_by": "S"},
        ]
    return made


def machines_of(rng, boxes):
    """A machine at most receptacles; some may choose. Each hard-wired box has its machine."""
    made = []
    for box in boxes:
        text = box.get("yokes", ["switch"])[0]
        if text == "switch":
            continue
        machine = {
            "id": f"M-{box['id']}",
            "always_on": rng.random() < 0.4,
            "continuous": rng.random() < 0.2,
        }
        if text == "blank":
            volts = rng.choice([120, 240])
            machine |= {"volts": f"{volts} V", "marked": f"{rng.randint(4, 15)} A"}
            made.append(machine | {"hard_wired_at": box["id"]})
            continue
        if rng.random() < 0.3:
            continue
        heavy = text.endswith(("6-15R", "6-20R", "6-30R"))
        plug = {"6-30R": "6-30P", "6-20R": "6-20P"}.get(text.split(" ")[1], "6-15P")
        machine |= {
            "volts": "240 V" if heavy else "120 V",
            "marked": f"{rng.randint(3, 12)} A",
            "plug": plug if heavy else "5-15P",
            "at": ["6 ft", "5 ft"],
            "cord": "14 ft",
        }
        if heavy or rng.random() < 0.6:
            machine["plugs_into"] = f"{box['id']}.left" if len(box["yokes"]) == 2 else box["id"]
        else:
            machine |= {"plugs_into": "choose", "cord": f"{rng.choice([6, 8])} ft"}
        made.append(machine)
    return made


def wishes(rng, shop):
    """Now and then two yokes together, or two boxes apart."""
    names = [box["id"] for box in shop["boxes"] if box.get("yokes", [""])[0].startswith("duplex 5")]
    single = [box["id"] for box in shop["boxes"] if box["id"] in names and len(box["yokes"]) == 1]
    if len(single) > 1 and rng.random() < 0.15:
        shop["pins"] = {"together": [rng.sample(single, 2)]}
    elif len(names) > 1 and rng.random() < 0.2:
        one, other = rng.sample(names, 2)
        next(box for box in shop["boxes"] if box["id"] == one)["not_with"] = [other]


def tubes(rng, shop):
    """Now and then raceways from the panel, one after the other, and a junction box."""
    routes, ends = {}, ["P", *(box["id"] for box in shop["boxes"] if "luminaire" not in box)]
    if rng.random() < 0.25:
        routes["junction_boxes"] = [{"id": "J", "wall": "south", "x": "5 ft", "height": "7 ft",
                                     "existing": rng.random() < 0.5}]  # fmt: skip
        ends.insert(rng.choice([1, len(ends)]), "J")
    if rng.random() < 0.5:
        count = rng.choice([1, 1, 2])
        routes["raceways"] = [
            {
                "id": f"R{n}",
                "kind": "EMT",
                "trade_size": "1/2",
                "ends": ends[n : n + 2],
                "laid": rng.choice(["surface", "surface", "in wall"]),
                "existing": rng.random() < 0.7,
            }
            for n in range(min(count, len(ends) - 1))
        ]
    if routes:
        shop["routes"] = routes
