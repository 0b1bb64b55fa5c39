"""The box schedule: each box with its size, contents, fill and circuits."""

from branchwright.measures import length_words, volume, volume_words
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, life_words, wall_words
from models.plan import BoxPlan, Plan, YokePlan

COLUMNS = columns("Box", "Size", "Where", "Devices", "Circuits", ">Fill", ">Volume", "Status")


def box_schedule(plan: Plan) -> Table:
    """A row for each box."""
    return Table(
        "Box schedule",
        COLUMNS,
        tuple(_row(box, box_circuits(plan, box)) for box in plan.boxes),
        note=f"Fill and volume in {volume_words()}, by NEC 314.16; heights to the middle.",
        shares=tuple(_share(box) for box in plan.boxes),
        marks=tuple("existing" if box.life == "existing" else "" for box in plan.boxes),
    )


def _share(box: BoxPlan) -> float | None:
    if box.volume_in3 is None or box.fill_in3 is None:
        return None
    return box.fill_in3 / box.volume_in3


def box_circuits(plan: Plan, box: BoxPlan) -> dict[str, None]:
    """Circuits with a conductor, a yoke or an outlet in a box."""
    inside = [conductor.circuit for conductor in box.conductors]
    inside += [yoke.circuit for yoke in box.yokes if yoke.circuit]
    inside += [outlet.circuit for outlet in plan.outlets if outlet.box == box.id]
    return dict.fromkeys(inside)


def _row(box: BoxPlan, circuits: dict[str, None]) -> tuple[str, ...]:
    """One box."""
    devices = [device_words(yoke) for yoke in box.yokes]
    status = life_words(box.life, box.known)
    if not box.reachable_from_floor and box.kind != "luminaire":
        status.append("not reachable from the floor")
    return (
        clean(box.id),
        clean(box.box),
        where_words(box),
        joined(devices) or box.kind,
        joined(circuits),
        "" if box.fill_in3 is None else volume(box.fill_in3),
        "not measured" if box.volume_in3 is None else volume(box.volume_in3),
        joined(status),
    )


def where_words(box: BoxPlan) -> str:
    """The wall and the height of a box."""
    where = f"{wall_words(box.wall)}, {length_words(box.place[2])}" if box.wall else "ceiling"
    return where + (", outside" if box.location == "wet" else "")


def device_words(yoke: YokePlan) -> str:
    """What is on a yoke."""
    device = "hard-wired" if yoke.device == "blank" else yoke.device
    if device == "switch":
        return f"{yoke.configuration} switch" if yoke.configuration else device
    configuration = [yoke.configuration] if yoke.configuration else []
    return " ".join([*(["GFCI"] if yoke.gfci else []), device, *configuration])
