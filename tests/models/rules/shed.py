"""The four-box shed with more in it, for rules that read its boxes, machines and building.

Only what such rules look at is added: boxes in the shop, outlets and machines in the plan. The room
is 10 ft by 8 ft, x to the east; the panel P hangs at the west wall, 2 ft from the south.
"""

from typing import Any

from tests.models.rules.four_box import circuit_of


def shop_of(data: Any) -> Any:
    """The shop in a plan's data."""
    return data["source"]["shop"]


def say(data: Any, edition: int | None = None, **building: Any) -> None:
    """Other answers about the building, another edition."""
    shop_of(data)["building"].update(building)
    if edition is not None:
        shop_of(data)["code"]["edition"] = edition


def outlet_of(data: Any, outlet_id: str) -> Any:
    """An outlet of a plan's data."""
    return next(outlet for outlet in data["outlets"] if outlet["id"] == outlet_id)


def add_outlet(
    data: Any, box: str, circuit: str = "C2", configuration: str | None = "5-20R", **place: Any
) -> None:
    """A box with a single receptacle; without a configuration, with something hard-wired."""
    kind = "receptacle" if configuration else "hard-wired"
    text = f"single {configuration}" if configuration else "blank"
    where = place or {"wall": "north", "x": "8 ft"}
    shop_of(data)["boxes"].append({"id": box, "yokes": [text], **where})
    _add(data, box, circuit, kind, configuration, yoke=box)


def add_light(data: Any, box: str, circuit: str = "C1", **place: Any) -> None:
    """A box with a luminaire."""
    shop_of(data)["boxes"].append({"id": box, "luminaire": "40 W", **place})
    _add(data, box, circuit, "luminaire", None, yoke=None)


def _add(
    data: Any, box: str, circuit: str, kind: str, configuration: str | None, yoke: str | None
) -> None:
    on = circuit_of(data, circuit)
    on["outlets"] = [*on["outlets"], box]
    data["outlets"].append(
        {
            "id": box,
            "box": box,
            "yoke": yoke,
            "position": None,
            "kind": kind,
            "configuration": configuration,
            "volts": on["volts"],
            "watts": 40 if kind == "luminaire" else None,
            "circuit": circuit,
            "switched_by": None,
            "protected_by": None,
            "life": on["life"],
            "known": "verified",
        }
    )


def add_machine(data: Any, machine: str, at_outlet: str, **said: Any) -> None:
    """A machine at an outlet, plugged in or hard-wired as it is; of 5 A if nothing is said."""
    outlet = outlet_of(data, at_outlet)
    wired = outlet["kind"] == "hard-wired"
    place = {"hard_wired_at": outlet["box"]} if wired else {"plug": "5-15P", "at": ["5 ft", "6 ft"]}
    volts = outlet["volts"]
    plate = {} if said.keys() & {"motor", "power"} else {"marked": "5 A"}
    shop_of(data)["machines"].append(
        {"id": machine, "volts": f"{volts} V", **place, **plate, **said}
    )
    data["machines"].append(
        {
            "id": machine,
            "name": machine,
            "volts": volts,
            "outlet": None if wired else at_outlet,
            "hard_wired_at": outlet["box"] if wired else None,
            "amps_table": None,
            "amps_nameplate": None,
            "circuit": outlet["circuit"],
            "portable": False,
        }
    )
