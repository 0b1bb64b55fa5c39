"""Papers to build from: runs to pull, boxes, raceways. Feet and inches, cubic inches, percent."""

from branchwright.measures import cut_inches, cut_length, length_words
from branchwright.papers.paper import Field, Paper, Row, whole_sum
from branchwright.readings import shop_of
from branchwright.sheets.box_schedule import box_circuits, device_words
from branchwright.sheets.pull_list import marking_words, pulled_words
from branchwright.sheets.raceway_ledger import ledger_note, ledgers, room_words
from branchwright.sheets.wall_sides import WallSide
from branchwright.words import clean, joined, life_words
from models.plan import BoxPlan, Ledger, Plan, RacewayPlan, Run
from models.shop import Shop

PULLS = (
    Field("Circuit", 9), Field("Run", 10), Field("From", 10), Field("To", 10),
    Field("Through", 20), Field("Pull", 24), Field("Path [ft]", 9, 2), Field("Slack [ft]", 9, 2),
    Field("Cut [in]", 8, 0), Field("Cut", 12), Field("Mark both ends", 24), Field("Re-mark", 34),
    Field("Pulled", 8, by_hand=True),
)  # fmt: skip
BOXES = (
    Field("Box", 10), Field("Size", 24), Field("Wall", 10), Field("From left [ft]", 9, 2),
    Field("Height [ft]", 9, 2), Field("Where", 24), Field("Devices", 36), Field("Circuits", 18),
    Field("Conductors", 10, 0), Field("Fill [in³]", 9, 2), Field("Volume [in³]", 9, 2),
    Field("Status", 30),
)  # fmt: skip
RACEWAYS = (
    Field("Raceway", 10), Field("Stage", 16), Field("Kind", 16), Field("Trade size [in]", 8),
    Field("From", 10), Field("To", 10), Field("Length [ft]", 9, 2), Field("Runs inside", 34),
    Field("Conductors", 10, 0), Field("Fill [%]", 8, 2), Field("Limit [%]", 8, 1),
    Field("Carrying current", 10, 0), Field("Adjustment [%]", 10, 0), Field("Room left", 34),
)  # fmt: skip

LATER = "later"  # where a run is of no circuit yet


def pull_list(plan: Plan) -> Paper:
    """A row for each run to pull, circuit by circuit, from the panel outwards; at the end those
    for machines that may come, and the pull strings where room is kept for them.
    """
    rows = tuple(
        _pull(circuit.id, run)
        for circuit in plan.circuits
        for run in circuit.runs
        if run.life == "new"
    )
    rows += tuple(_pull(LATER, run) for run in (*plan.later_runs, *plan.rooms))
    note = (
        "Cut is path and slack together, rounded up to the next inch. Slack is for making up at"
        " both ends. Write the end mark on both ends before the next is cut; tick off as pulled."
    )
    sums = whole_sum("all cuts", [field.name for field in PULLS].index("Cut [in]"), rows)
    return Paper("pull_list", "Pull list", PULLS, rows, note, sums)


def _pull(circuit: str, run: Run) -> Row:
    length_ft = run.length_ft + run.allowance_ft
    return (
        clean(circuit), clean(run.id), clean(run.start), clean(run.end),
        joined((*run.raceways, *(f"past {box}" for box in run.via))), clean(pulled_words(run)),
        run.length_ft, run.allowance_ft, cut_inches(length_ft),
        cut_length(length_ft), f"{clean(run.id)} {clean(run.start)}–{clean(run.end)}",
        joined(marking_words(wire) for wire in run.conductors if wire.marked), "",
    )  # fmt: skip


def box_schedule(plan: Plan) -> Paper:
    """A row for each box."""
    shop = shop_of(plan)
    sides = {wall.id: WallSide.of(shop, wall) for wall in shop.building.all_walls}
    rows = tuple(_box(plan, box, shop, sides.get(box.wall or "")) for box in plan.boxes)
    note = (
        "Fill and volume by NEC 314.16; no volume: not measured. Heights, and places from the left"
        " end of the wall as its elevation shows it, or from the building's south-west corner, are"
        " to the middle."
    )
    return Paper("box_schedule", "Box schedule", BOXES, rows, note)


def _box(plan: Plan, box: BoxPlan, shop: Shop, side: WallSide | None) -> Row:
    status = life_words(box.life, box.known)
    if not box.reachable_from_floor and box.kind != "luminaire":
        status.append("not reachable from the floor")
    return (
        clean(box.id), clean(box.box), clean(box.wall or ""),
        None if side is None else round(side.along(*box.place[:2]), 3), box.place[2],
        _where(box, shop, side),
        joined(map(device_words, box.yokes)) or box.kind, joined(box_circuits(plan, box)),
        len(box.conductors), box.fill_in3, box.volume_in3, joined(status),
    )  # fmt: skip


def _where(box: BoxPlan, shop: Shop, side: WallSide | None) -> str:
    """What wall and height do not tell."""
    if side is None:
        x, y, _ = box.place
        west, south = map(min, zip(*shop.building.corners, strict=True))
        return f"ceiling, {length_words(x - west)} east, {length_words(y - south)} north"
    if box.location == "wet":
        return "outside"
    within = shop.building.is_partition(side.wall.id)
    return f"{side.faces(shop, box.id)} face" if within else ""


def raceway_ledger(plan: Plan) -> Paper:
    """A row for each raceway and stage."""
    rows = tuple(_raceway(way, ledger) for way, ledger in ledgers(plan))
    return Paper("raceway_ledger", "Raceway ledger", RACEWAYS, rows, ledger_note(plan))


def _raceway(raceway: RacewayPlan, ledger: Ledger) -> Row:
    return (
        clean(raceway.id), clean(ledger.stage), clean(raceway.kind), clean(raceway.trade_size),
        clean(raceway.start), clean(raceway.end), raceway.length_ft,
        joined((content.run for content in ledger.contents), none="empty"),
        sum(len(content.conductors) for content in ledger.contents), ledger.fill_percent,
        ledger.limit_percent, ledger.current_carrying, round(100 * ledger.adjustment),
        room_words(ledger).replace("\u00a0", " "),
    )  # fmt: skip
