"""Box fill: what runs bring into each box, counted again, against the volume of the box.

Cubic inches. Every insulated conductor counts once where its run ends or passes, all grounds go
by the edition's allowance, each device counts twice its largest conductor.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from models.box_sizes import box_volume_in3
from models.changeovers import later_machine_of
from models.formulas.box_fill import box_fill_in3
from models.formulas.conductors import circular_mils
from models.formulas.pull_boxes import needs_pull_box
from models.plan import BoxPlan, Finding, Role, Run
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

SAME_IN3 = 0.006

FILL = RuleText(
    "box-fill",
    "Volume of a box",
    "Conductors, devices and grounds in a box need no more than its volume.",
    "NEC 314.16(B)",
    "code",
)
VOLUME = RuleText(
    "box-volume",
    "Box sizes",
    "The volume of a box is the one printed for its size.",
    "NEC Table 314.16(A)",
    "code",
)
MAKE_UP = RuleText(
    "box-make-up",
    "Make-up of a box",
    "The conductors, fill and device sizes listed for a box are those that its runs bring.",
    "plan file",
    "plan",
)
UNMEASURED = RuleText(
    "box-unmeasured",
    "Boxes nobody measured",
    "The volume of an existing box is not known, so its fill is not checked.",
    "NEC 314.16",
    "code",
)
RULES = registry(FILL, VOLUME, MAKE_UP, UNMEASURED)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each box too full, wrongly listed, or not measured."""
    for box in reading.plan.boxes:
        if box.volume_in3 is None:
            says = f"nobody measured box {box.id}: its fill is not checked"
            yield UNMEASURED.finding(
                box.id,
                says,
                edition=reading.edition,
                severity="not-checked" if box.life == "existing" else "violation",
                fix="measure it, or read the volume marked in it",
            )
            continue
        needed = fill_in3(reading, box)
        if needed > box.volume_in3 + SAME_IN3:
            yield FILL.finding(
                box.id,
                f"box {box.id} ({box.box}) has {box.volume_in3:g} in³, its contents need "
                f"{needed:g} in³",
                edition=reading.edition,
                found=needed,
                limit=box.volume_in3,
                unit="in³",
                fix=f"a deeper or wider box at {box.id}",
            )
        printed = box_volume_in3(box.box)
        if box.life == "new" and abs(printed - box.volume_in3) > SAME_IN3:
            yield VOLUME.finding(
                box.id,
                f"a {box.box} box has {printed:g} in³, the plan gives {box.id} {box.volume_in3:g}",
                edition=reading.edition,
                found=box.volume_in3,
                limit=printed,
                unit="in³",
                fix="use the printed volume",
            )
        for says in _listing_faults(reading, box, needed):
            fix = f"list the make-up of {box.id} again"
            yield MAKE_UP.finding(box.id, says, edition=reading.edition, detail=says, fix=fix)
        yield from _not_listed(reading, box)


def _capped(reading: Reading, box: BoxPlan) -> Counter[tuple[str, Role, str, str]]:
    """What is pulled now for machines that may come, and ends capped in a box."""
    return Counter(
        (one.run.id, conductor.role, conductor.awg, later_machine_of(one.machine))
        for one in reading.plan.later_machines or ()
        if one.run is not None and box.id in (one.run.start, one.run.end)
        for conductor in one.run.conductors
    )


def _lists_nothing_capped(reading: Reading, box: BoxPlan) -> bool:
    """Whether a box lists nothing of what is pulled now for machines that may come, as older plans
    do not.
    """
    pulled = _capped(reading, box)
    return bool(pulled) and not {run for run, *_ in pulled} & {c.run for c in box.conductors}


def fill_in3(
    reading: Reading,
    box: BoxPlan,
    drawn: Iterable[Run] = (),
    wires: Iterable[tuple[Role, str]] = (),
    at: Mapping[str, str] | None = None,
) -> float:
    """Volume that the contents of a box need; 4 AWG and larger go by 314.28. [in³]

    With what is pulled now for machines that may come: a capped conductor counts like any other.
    `drawn`: runs that come besides; `wires`: conductors, by role and size; `at`: sizes at a device.
    """
    runs = [run for _, run in reading.runs_at.get(box.id, [])]
    runs += [run for run in reading.plan.later_runs if box.id in (run.start, run.end)]
    runs += [run for run in drawn if box.id in (run.start, *run.via, run.end)]
    coming = [c for run in runs for c in run.conductors]
    sizes = [*((c.role, c.awg) for c in coming), *wires]
    brought = [(role, awg) for role, awg in sizes if not needs_pull_box(awg)]
    largest = _largest_on_yokes(reading, box)
    for yoke, awg in (at or {}).items():
        largest[yoke] = max(awg, largest.get(yoke) or awg, key=circular_mils)
    return box_fill_in3(
        [awg for role, awg in brought if role != "ground"],
        [(awg, 1) for awg in largest.values() if awg is not None and not needs_pull_box(awg)],
        [awg for role, awg in brought if role == "ground"],
        internal_clamps=box.internal_clamps,
        edition=reading.edition,
    )


def _not_listed(reading: Reading, box: BoxPlan) -> Iterator[Finding]:
    """A note where capped conductors of an older plan are in no list."""
    if _lists_nothing_capped(reading, box):
        yield MAKE_UP.finding(
            box.id,
            f"what is pulled now for later ends capped in {box.id}, and is not listed there",
            edition=reading.edition,
            severity="note",
            detail="capped",
            fix="plan the shop again to have it in the box schedule and drawing",
        )


def _largest_on_yokes(reading: Reading, box: BoxPlan) -> dict[str, str | None]:
    """The largest conductor of its circuit that each device has in the box; blanks none."""
    largest: dict[str, str | None] = {}
    for yoke in box.yokes:
        mine = reading.circuits.get(yoke.circuit or "")
        feeding = {run.id for run in reading.runs_of(mine)} if mine else set()
        awgs = [
            conductor.awg
            for _, run in reading.runs_at.get(box.id, [])
            for conductor in run.conductors
            if run.id in feeding and conductor.role not in ("ground", "spare")
        ]
        device = yoke.device != "blank"
        largest[yoke.id] = max(awgs, key=circular_mils, default=None) if device else None
    return largest


def _listing_faults(reading: Reading, box: BoxPlan, needed: float) -> Iterator[str]:
    """What the plan lists for a box but its runs do not bring, or the other way round."""
    brought = Counter(
        (run.id, conductor.role, conductor.awg, circuit.id)
        for circuit, run in reading.runs_at.get(box.id, [])
        for conductor in run.conductors
    )
    listed = Counter((c.run, c.role, c.awg, c.circuit) for c in box.conductors)
    brought += _capped(reading, box) if not _lists_nothing_capped(reading, box) else Counter()
    for run, role, awg, _ in sorted((brought - listed).elements()):
        yield f"{run}.{role} of {awg} AWG comes into {box.id} and is not listed there"
    for run, role, awg, _ in sorted((listed - brought).elements()):
        yield f"{run}.{role} of {awg} AWG is listed in {box.id} and does not come there"
    if box.fill_in3 is None or abs(box.fill_in3 - needed) > SAME_IN3:
        given = "no" if box.fill_in3 is None else f"{box.fill_in3:g} in³ of"
        yield f"box {box.id} is given {given} fill, its contents need {needed:g} in³"
    names = {f"{c.run}.{c.role}" for c in box.conductors}
    for splice in box.splices:
        for name in splice.joins:
            if name not in names:
                yield f"a splice in {box.id} joins {name}, which is not in the box"
    for yoke, largest in _largest_on_yokes(reading, box).items():
        listed_awg = next(y.largest_awg for y in box.yokes if y.id == yoke)
        if listed_awg != largest:
            yield f"the largest conductor on {yoke} is {largest} AWG, the plan says {listed_awg}"
