"""Make-up of boxes: every conductor is a line, every joint an upright one, a dot where they meet.

Drawn are junction boxes, boxes of two devices and more, and others where three runs and more come
together or conductors end capped. Lines that cross without a dot touch nothing. Not to scale.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import Final

from branchwright.measures import fill_words, size_words
from branchwright.papers.joints import (
    box_joints,
    role_words,
    seen_words,
    terminal_words,
    wire_words,
)
from branchwright.sheets import styles
from branchwright.sheets.box_schedule import device_words, where_words
from branchwright.sheets.cell_sheet import HALF, LEFT, TOP, cell_sheet, column_left, one_of
from branchwright.sheets.display import Circle, Drawing, Group, Line, Shape, Text, Xy
from branchwright.sheets.flow import in_columns
from branchwright.sheets.pull_list import pulled_words
from branchwright.sheets.raceway_sections import draw_wire
from branchwright.sheets.text_size import fitted, text_width
from branchwright.words import clean, joined
from models.answers.joints import LOAD_SIDE, End, Joint, Joints
from models.changeovers import later_machine_of
from models.plan import Plan, YokePlan

HEAD: Final = 44.0
ROW: Final = 14.0
GAP: Final = 6.0
AFTER: Final = 26.0
NAMES: Final = 168.0  # conductors at the left, at least
AFTER_NAME: Final = 26.0
LEAST_BEYOND: Final = 130.0  # right of the joints
COLUMN, NARROW_COLUMN, MANY = 17.0, 12.0, 9
TO: Final = 12.0
DOT: Final = 5.8
LEGEND: Final = 44.0
SEVERAL_RUNS: Final = 3
TWO_GANGS: Final = 2
TWO_DIGITS: Final = 10
NUMBER: Final = styles.Lettering(8.0, bold=True, fill=styles.PAPER)


def made_up_boxes(plan: Plan) -> list[Joints]:
    """The boxes that are worth a drawing."""
    return [one for one in box_joints(plan) if _is_drawn(one)]


def _is_drawn(one: Joints) -> bool:
    runs = {end.run.id for end in one.ends if end.ends != "passes"}
    several = one.box.gangs >= TWO_GANGS or len(runs) >= SEVERAL_RUNS
    capped = any(end.ends == "capped" for end in one.ends)
    return one.box.kind in ("junction", "pull") or several or capped


def make_up(plan: Plan) -> list[Drawing]:
    """Draw the boxes, two beside each other, on as many sheets as it takes."""
    cells = [_Cell(one) for one in made_up_boxes(plan)]
    sheets = in_columns(cells)
    return [_sheet(plan, columns, n, len(sheets)) for n, columns in enumerate(sheets, start=1)]


def _sheet(plan: Plan, columns: Sequence[Sequence["_Cell"]], number: int, of: int) -> Drawing:
    layer = Group("boxes")
    y = TOP
    for column, cells in enumerate(columns):
        down = TOP
        for cell in cells:
            layer.add(*cell.shapes((column_left(column), down)))
            down += cell.height
        y = max(y, down)
    says = f"Make-up of {sum(map(len, columns))} boxes"
    title = one_of("Make-up of boxes", number, of)
    holds = tuple(cell.one.box.id for cells in columns for cell in cells)
    legend = (y, LEGEND, _legend((LEFT, y)))
    return cell_sheet(plan, title, says, layer, legend, holds=holds)


@dataclass(frozen=True)
class _Cell:
    """One box on paper."""

    one: Joints

    @property
    def runs(self) -> list[list[End]]:
        """Conductors, run by run."""
        return [list(ends) for _, ends in groupby(self.one.ends, key=lambda end: end.run.id)]

    @property
    def devices(self) -> list[tuple[str, list[Joint]]]:
        """Devices with pigtails as they stand in the box, and the joints that these come from."""
        found: dict[str, list[Joint]] = {}
        for joint in self.one.joints:
            for name in joint.pigtails:
                found.setdefault(name, []).append(joint)
        places = {yoke.id: place for place, yoke in enumerate(self.one.box.yokes)}
        return sorted(
            found.items(), key=lambda one: places.get(one[0].removesuffix(LOAD_SIDE), len(places))
        )

    @property
    def height(self) -> float:
        """Room on paper."""
        blocks = [*map(len, self.runs), *(len(joints) for _, joints in self.devices)]
        return HEAD + sum(ROW * (1 + rows) + GAP for rows in blocks) + AFTER

    @cached_property
    def columns(self) -> dict[int, int]:
        """The column of each joint from 0; two that are not beside each other may have the same."""
        blocks = [[end.joint for end in ends] for ends in self.runs]
        blocks += [[joint.number for joint in joints] for _, joints in self.devices]
        rows: dict[int, list[int]] = {}
        row = 0
        for block in blocks:
            for number in block:
                row += 1
                if number is not None:
                    rows.setdefault(number, []).append(row)
            row += 1
        taken: list[int] = []  # until which row each column is
        found = {}
        for number, met in sorted(rows.items()):
            free = (n for n, until in enumerate(taken) if until < met[0])
            column = next(free, len(taken))
            taken[column : column + 1] = [met[-1]]
            found[number] = column
        return found

    @cached_property
    def names(self) -> float:
        """Room for the names of conductors: what the longest asks for, or what there is."""
        widths = (text_width(_wire_label(end), 9.5) for ends in self.runs for end in ends)
        room = HALF - self.breadth - TO - LEAST_BEYOND
        return max(NAMES, min(room, max(widths, default=0.0) + AFTER_NAME))

    @property
    def breadth(self) -> float:
        """Width of all columns."""
        return self.step * len(set(self.columns.values()))

    @property
    def step(self) -> float:
        """From one column to the next."""
        return NARROW_COLUMN if len(set(self.columns.values())) > MANY else COLUMN

    def column(self, joint: int, x: float) -> float:
        """Where the line of a joint stands."""
        return x + self.names + self.step * (self.columns[joint] + 0.5)

    def shapes(self, at: Xy) -> Iterator[Shape]:
        """Title, columns, then a block for each run and each device."""
        (x, y), box = at, self.one.box
        names = dict.fromkeys(end.circuit for end in self.one.ends)
        later = [name for name in names if name.startswith(later_machine_of(""))]
        circuits = [name for name in names if name not in later]
        fill = ""
        if box.volume_in3 is not None and box.fill_in3 is not None:
            fill = f" · {fill_words(box.fill_in3, box.volume_in3)}"
        title = f"{clean(box.id)} · {where_words(box)}"
        inside = [f"circuit{'s' if len(circuits) > 1 else ''} {joined(circuits)}"]
        under = " · ".join(
            [f"{clean(box.box)}{fill}", *(inside if circuits else []), *map(clean, later)]
        )
        yield Text((x, y + 12), fitted(title, HALF, 11, True), styles.STRONG)
        yield Text((x, y + 26), fitted(under, HALF, 9.5), styles.SMALL)
        yield Line((x, y + 32), (x + HALF, y + 32), styles.RULE)
        lines: dict[int, list[float]] = {}
        rows: list[Shape] = []
        top = y + HEAD
        for ends in self.runs:
            rows += self._run(ends, (x, top), lines)
            top += ROW * (1 + len(ends)) + GAP
        for name, joints in self.devices:
            rows += self._device(name, joints, (x, top), lines)
            top += ROW * (1 + len(joints)) + GAP
        for number, met in lines.items():
            column = self.column(number, x)
            yield Line((column, met[0]), (column, met[-1]), styles.SYMBOL_LINE)
        yield from rows

    def _run(self, ends: Sequence[End], at: Xy, lines: dict[int, list[float]]) -> Iterator[Shape]:
        """A run and its conductors, each with a line to its joint or to where it ends."""
        (x, y), first = at, ends[0]
        says = f"{clean(first.run.id)} {clean(first.far(self.one.box.id))}"
        room = self.names - 10
        yield Text((x, y + 8), fitted(says, room, 9.5, True), styles.HEADING)
        pulled = fitted(clean(pulled_words(first.run)), HALF - self._beyond - 4, 9.5)
        yield Text((x + self._beyond + 4, y + 8), pulled, styles.SMALL)
        for number, end in enumerate(ends, start=1):
            level = y + ROW * number + 4
            yield from draw_wire(end.role, end.wire.insulated, (x + 5, level), 4.6, None)
            label = fitted(_wire_label(end), self.names - AFTER_NAME, 9.5)
            name = Text((x + 14, level + 3.5), label, styles.SMALL_INK)
            after = name.bounds.right + 5
            yield name
            if end.joint is not None:
                column = self.column(end.joint, x)
                lines.setdefault(end.joint, []).append(level)
                yield Line((after, level), (column, level), styles.SYMBOL_LINE)
                yield from _dot((column, level), end.joint)
                continue
            stop = x + self._beyond
            yield Line((after, level), (stop, level), styles.LEADER)
            told = fitted(_ends_words(end), HALF - self._beyond - 4, 9.5)
            yield Text((stop + 4, level + 3.5), told, styles.SMALL_INK)

    @property
    def _beyond(self) -> float:
        """Right of the columns."""
        return self.names + self.breadth + TO

    def _device(
        self, device: str, joints: Sequence[Joint], at: Xy, lines: dict[int, list[float]]
    ) -> Iterator[Shape]:
        """A device and its pigtails."""
        x, y = at
        yokes = {yoke.id: yoke for yoke in self.one.box.yokes}
        told = terminal_words(device)
        yield Text((x, y + 8), fitted(told, self.names - 10, 9.5, True), styles.HEADING)
        what = _device_words(yokes.get(device.removesuffix(LOAD_SIDE)))
        cut = fitted(what, HALF - self._beyond - 4, 9.5)
        yield Text((x + self._beyond + 4, y + 8), cut, styles.SMALL)
        for number, joint in enumerate(joints, start=1):
            level = y + ROW * number + 4
            column = self.column(joint.number, x)
            lines.setdefault(joint.number, []).append(level)
            label = fitted(f"pigtail, {role_words(joint.role)}", self.names - AFTER_NAME, 9.5)
            name = Text((x + 14, level + 3.5), label, styles.SMALL_INK)
            yield name
            yield Line((name.bounds.right + 5, level), (column, level), styles.SYMBOL_LINE)
            yield from _dot((column, level), joint.number)


def _wire_label(end: End) -> str:
    """A conductor and its size; of one that is marked and long to tell, colour and mark."""
    size = size_words(end.wire.awg)
    label = f"{wire_words(end)}, {size}"
    if text_width(label, 9.5) > NAMES - AFTER_NAME and end.wire.marked and end.role != "spare":
        return f"{seen_words(end)}, {size}"
    return label


def _dot(at: Xy, number: int) -> Iterator[Shape]:
    """A wire in a joint."""
    yield Circle(at, DOT, styles.SYMBOL_SOLID)
    look = NUMBER if number < TWO_DIGITS else replace(NUMBER, bold=False)
    yield Text((at[0], at[1] + 2.9), str(number), look, "middle")


def _ends_words(end: End) -> str:
    """Where a conductor ends that is in no joint."""
    if end.ends == "passes":
        return "passes, not cut"
    if end.ends == "capped":
        return "capped and marked"
    return f"on {joined(map(terminal_words, end.on), ' or ')}" if end.on else "ends here"


def _device_words(yoke: YokePlan | None) -> str:
    """What a yoke holds."""
    return "luminaire" if yoke is None else device_words(yoke)


def _legend(at: Xy) -> Iterator[Shape]:
    """Looks of conductors, and what a dot is."""
    x, y = at
    kinds = (
        ("hot", True, "hot"), ("neutral", True, "neutral"), ("ground", True, "ground, insulated"),
        ("ground", False, "ground, bare"), ("spare", True, "spare, capped"),
    )  # fmt: skip
    for role, insulated, words in kinds:
        yield from draw_wire(role, insulated, (x + 9, y + 10), 4.6, None)
        yield Text((x + 20, y + 13.5), words, styles.SMALL)
        x += 124
    yield from _dot((x + 6, y + 10), 1)
    yield Text(
        (x + 18, y + 13.5),
        "in joint 1: what an upright line joins is under one connector",
        styles.SMALL,
    )
    note = (
        "The number after a conductor is its AWG. Ground joints take in a metal box, and by it each"
        " other."
    )
    yield Text((at[0], y + 32), note, styles.SMALL)
