"""The box schedule: each box with its size, contents, fill and circuits."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, life_words
from models.plan import BoxPlan, Plan
from models.quantities import feet_inches

COLUMNS = columns("Box", "Size", "Where", "Devices", "Circuits", ">Fill", ">Volume", "Status")


def box_schedule(plan: Plan) -> Table:
    """A row for each box."""
    return Table(
        "Box schedule",
        COLUMNS,
        tuple(_row(box, _circuits(plan, box)) for box in plan.boxes),
        note="Fill and volume in cubic inches, by NEC 314.16; heights to the middle.",
        shares=tuple(_share(box) for box in plan.boxes),
        marks=tuple("existing" if box.life == "existing" else "" for box in plan.boxes),
    )


def _share(box: BoxPlan) -> float | None:
    if box.volume_in3 is None or box.fill_in3 is None:
        return None
    return box.fill_in3 / box.volume_in3


def _circuits(plan: Plan, box: BoxPlan) -> dict[str, None]:
    """Circuits with a conductor, a yoke or an outlet in a box."""
    inside = [conductor.circuit for conductor in box.conductors]
    inside += [yoke.circuit for yoke in box.yokes if yoke.circuit]
    inside += [outlet.circuit for outlet in plan.outlets if outlet.box == box.id]
    return dict.fromkeys(inside)


def _row(box: BoxPlan, circuits: dict[str, None]) -> tuple[str, ...]:
    """One box."""
    devices = [_device(yoke.device, yoke.configuration, yoke.gfci) for yoke in box.yokes]
    where = f"{clean(box.wall)} wall, {feet_inches(box.place[2])}" if box.wall else "ceiling"
    status = life_words(box.life, box.known)
    if not box.reachable_from_floor and box.kind != "luminaire":
        status.append("not reachable from the floor")
    return (
        clean(box.id),
        clean(box.box),
        where + (", outside" if box.location == "wet" else ""),
        joined(devices) or box.kind,
        joined(circuits),
        "" if box.fill_in3 is None else f"{box.fill_in3:.2f}",
        "not measured" if box.volume_in3 is None else f"{box.volume_in3:.2f}",
        joined(status),
    )


def _device(device: str, configuration: str | None, gfci: bool) -> str:
    device = "hard-wired" if device == "blank" else device
    if device == "switch":
        return f"{configuration} switch" if configuration else device
    words = [*(["GFCI"] if gfci else []), device, *([configuration] if configuration else [])]
    return " ".join(words)
