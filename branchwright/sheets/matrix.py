"""What runs together without overloading: a grid of machines by machines for each breaker.

A row and a column stand for a machine; where they cross stand the amperes that both draw, on the
slant those of one alone. Pairs that never are on together are pale, what would be too much is dark.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from branchwright.papers.runs_together import member_words
from branchwright.readings import shared_breakers
from branchwright.sheets import styles
from branchwright.sheets.cell_sheet import HALF, LEFT, ROOM, TOP, cell_sheet, column_left, one_of
from branchwright.sheets.display import Bounds, Drawing, Group, Rect, Shape, Text, Xy
from branchwright.sheets.flow import in_sheets, row_height
from branchwright.sheets.text_size import fitted, wrapped
from branchwright.spaces import at_spaces
from branchwright.words import amps, clean, joined, load_amps, machine_words
from models.answers.together import Load, Meeting, SharedBreaker
from models.plan import Plan

NAMES: Final = 196.0
NUMBERS: Final = 20.0
STEP: Final = 36.0
ROW: Final = 19.0
HEAD: Final = 48.0
AFTER: Final = 26.0
LEGEND: Final = 56.0
AMPERES: Final = styles.Lettering(9.0)
MEMBER: Final = styles.Lettering(9.5)
NUMBER: Final = styles.Lettering(8.5, bold=True, fill=styles.SOFT)
Look = tuple[styles.Style, styles.Lettering]
FITS: Final[Look] = (styles.GRID, AMPERES)
ALONE: Final[Look] = (styles.GRID_ALONE, replace(AMPERES, bold=True))
APART: Final[Look] = (styles.GRID_APART, replace(AMPERES, italic=True, fill=styles.SOFT))
TOO_MUCH: Final[Look] = (styles.GRID_OVER, replace(AMPERES, bold=True, fill=styles.PAPER))


def matrix(plan: Plan) -> list[Drawing]:
    """Draw the grids of all breakers with two machines and more; small ones side by side."""
    names = machine_words(plan)
    blocks = [_Block(plan, one, names) for one in shared_breakers(plan) if one.meetings]
    rows: list[list[_Block]] = []
    for block in blocks:
        if rows and len(rows[-1]) == 1 and block.narrow and rows[-1][0].narrow:
            rows[-1].append(block)
        else:
            rows.append([block])
    sheets = in_sheets(rows)
    return [_sheet(plan, sheet, n, len(sheets)) for n, sheet in enumerate(sheets, start=1)]


def _sheet(plan: Plan, rows: Sequence[Sequence["_Block"]], number: int, of: int) -> Drawing:
    layer = Group("grids")
    y = TOP
    for row in rows:
        for column, block in enumerate(row):
            layer.add(*block.shapes((column_left(column), y)))
        y += row_height(row)
    says = "Which machines run together without overloading a breaker"
    title = one_of("What runs together", number, of)
    return cell_sheet(plan, title, says, layer, (y, LEGEND, _legend((LEFT, y))))


@dataclass(frozen=True)
class _Block:
    """The grid of one breaker, or of both halves of a pair."""

    plan: Plan
    one: SharedBreaker
    names: dict[str, str]

    @property
    def narrow(self) -> bool:
        """Whether another one fits beside it."""
        return NUMBERS + NAMES + STEP * len(self.one.members) <= HALF

    @property
    def height(self) -> float:
        """Room on paper."""
        return self.head + ROW * len(self.one.members) + AFTER

    @property
    def head(self) -> float:
        """Room for the title and the numbers above the columns."""
        return HEAD + 12.5 * (len(self.feeds) - 1)

    @property
    def feeds(self) -> list[str]:
        """What the circuits feed, in lines."""
        circuits = {circuit.id: circuit for circuit in self.plan.circuits}
        says = joined((circuits[name].says for name in self.one.circuits), "; ")
        return wrapped(says, HALF if self.narrow else ROOM, 9.5, 2)

    @property
    def step(self) -> float:
        """Width of a column."""
        return min(STEP, (ROOM - NUMBERS - NAMES) / len(self.one.members))

    def shapes(self, at: Xy) -> Iterator[Shape]:
        """Title, numbers above, then a row for each machine up to the slant."""
        x, y = at
        yield from self._title(at)
        members = self.one.members
        spots = {(m.machine, m.alone.circuit): n for n, m in enumerate(members)}
        left, top = x + NUMBERS + NAMES, y + self.head
        for number, member in enumerate(members):
            level = top + ROW * number
            told = member_words(member, self.names)
            if len(self.one.circuits) > 1:
                told = f"{clean(member.alone.circuit)}: {told}"
            yield Text((x + NUMBERS - 5, level + 12.5), str(number + 1), NUMBER, "end")
            name = fitted(told, NAMES - 8, MEMBER.size)
            yield Text((x + NUMBERS, level + 12.5), name, MEMBER)
            middle = left + self.step * (number + 0.5)
            yield Text((middle, level - 4), str(number + 1), NUMBER, "middle")
            look = ALONE if member.alone.fits else TOO_MUCH
            yield from self._cell((left, top), number, number, member.alone, look)
        for meeting in self.one.meetings:
            ends = meeting.loads if len(meeting.loads) > 1 else meeting.loads * 2
            found = self._places(meeting, ends, spots)
            row, column = max(found), min(found)
            load = max(meeting.loads, key=lambda load: load.amps / load.limit_amps)
            look = APART if meeting.apart else FITS
            yield from self._cell((left, top), row, column, load, look if load.fits else TOO_MUCH)

    @staticmethod
    def _places(
        meeting: Meeting, loads: Sequence[Load], spots: dict[tuple[str, str], int]
    ) -> list[int]:
        """The two rows of a meeting; its loads and machines may stand in either order."""
        for circuits in (loads, loads[::-1]):
            keys = [(m, load.circuit) for m, load in zip(meeting.machines, circuits, strict=True)]
            if all(key in spots for key in keys):
                return [spots[key] for key in keys]
        raise KeyError(meeting.machines)

    def _cell(self, at: Xy, row: int, column: int, load: Load, look: Look) -> Iterator[Shape]:
        """One cell; its letters as large as it allows."""
        style, lettering = look
        left, top = at[0] + self.step * column, at[1] + ROW * row
        yield Rect(Bounds(left, top, left + self.step, top + ROW), style)
        says = load_amps(load.amps).removesuffix(" A")
        size = min(lettering.size, 0.29 * self.step)
        middle = (left + self.step / 2, top + ROW / 2 + 0.345 * size)
        yield Text(middle, says, replace(lettering, size=size), "middle")

    def _title(self, at: Xy) -> Iterator[Shape]:
        """The circuits with their breakers, and what they feed."""
        circuits = {circuit.id: circuit for circuit in self.plan.circuits}
        limits = {m.alone.circuit: m.alone.limit_amps for m in self.one.members}
        heads = []
        for circuit in (circuits[name] for name in self.one.circuits):
            spaces = f"{clean(circuit.panel)} {at_spaces(self.plan, circuit)}"
            limit = f", limit {amps(limits[circuit.id])}" if circuit.id in limits else ""
            heads.append(f"{clean(circuit.id)} · {spaces} · {amps(circuit.breaker.amps)}{limit}")
        room = HALF if self.narrow else ROOM
        title = fitted("  and  ".join(heads), room, 11, True)
        yield Text((at[0], at[1] + 10), title, styles.STRONG)
        for number, line in enumerate(self.feeds):
            yield Text((at[0], at[1] + 23 + 12.5 * number), line, styles.SMALL)


def _legend(at: Xy) -> Iterator[Shape]:
    """What the cells mean."""
    x, y = at
    kinds = (
        (ALONE, "one alone"), (FITS, "both at once"), (APART, "both fit, never on together"),
        (TOO_MUCH, "TOO MUCH for the breaker"),
    )  # fmt: skip
    for (style, lettering), words in kinds:
        yield Rect(Bounds(x, y, x + STEP, y + 15), style)
        yield Text((x + STEP / 2, y + 10.8), "12.0", lettering, "middle")
        yield Text((x + STEP + 6, y + 11), words, styles.SMALL)
        x += 232
    note = (
        "Amperes with what is always on, what starts with a machine, lights, and continuous loads"
        " at 125 %; of two poles the fuller. Pairs only: a third may be too much, see the paper of"
        " the same name. The feeder is another matter: see the load calculation."
    )
    for number, line in enumerate(wrapped(note, ROOM, styles.SMALL.size, 2)):
        yield Text((at[0], y + 30 + 12.5 * number), line, styles.SMALL)
