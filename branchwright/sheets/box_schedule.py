"""The box schedule: each box with its size, contents, fill and circuits."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, plain
from models.plan import BoxPlan, Plan
from models.quantities import feet_inches

COLUMNS = columns("Box", "Size", "Where", "Devices", "Circuits", ">Fill", ">Volume", "Status")


def box_schedule(plan: Plan) -> Table:
    """A row for each box."""
    return Table(
        "Box schedule",
        COLUMNS,
        tuple(_row(box) for box in plan.boxes),
        note="Fill and volume in cubic inches, by NEC 314.16; heights to the middle.",
        shares=tuple(_share(box) for box in plan.boxes),
        marks=tuple("existing" if box.life == "existing" else "" for box in plan.boxes),
    )


def _share(box: BoxPlan) -> float | None:
    if box.volume_in3 is None or box.fill_in3 is None:
        return None
    return box.fill_in3 / box.volume_in3


def _row(box: BoxPlan) -> tuple[str, ...]:
    """One box."""
    devices = [_device(yoke.device, yoke.configuration, yoke.gfci) for yoke in box.yokes]
    where = f"{clean(box.wall)} wall, {feet_inches(box.place[2])}" if box.wall else "ceiling"
    circuits = dict.fromkeys(conductor.circuit for conductor in box.conductors)
    return (
        clean(box.id),
        clean(box.box),
        where + (", outside" if box.location == "wet" else ""),
        joined(devices) or box.kind,
        joined(circuits),
        "" if box.fill_in3 is None else plain(box.fill_in3),
        "not measured" if box.volume_in3 is None else plain(box.volume_in3),
        f"existing, {box.known}" if box.life == "existing" else box.life,
    )


def _device(device: str, configuration: str | None, gfci: bool) -> str:
    words = [*(["GFCI"] if gfci else []), device, *([configuration] if configuration else [])]
    return " ".join(words)
