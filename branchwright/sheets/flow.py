"""Blocks of drawings one under the other, on as many sheets as it takes. Points."""

from collections.abc import Sequence
from typing import Final, Protocol, TypeVar

MOST_HEIGHT: Final = 1180.0  # of the blocks of a sheet 1000 wide, for an upright page


class _Block(Protocol):
    @property
    def height(self) -> float: ...


B = TypeVar("B", bound=_Block)
Row = Sequence[B]


def in_sheets(rows: Sequence[Sequence[B]], most: float = MOST_HEIGHT) -> list[list[Sequence[B]]]:
    """Rows of blocks dealt to sheets in their order; one too high for any has a sheet of its own.

    >>> class Block:
    ...     height = 400.0
    >>> [len(sheet) for sheet in in_sheets([[Block()]] * 5, most=900.0)]
    [2, 2, 1]
    """
    sheets: list[list[Sequence[B]]] = []
    left = 0.0
    for row in rows:
        high = row_height(row)
        if not sheets or high > left:
            sheets.append([])
            left = most
        sheets[-1].append(row)
        left -= high
    return sheets


def in_columns(blocks: Sequence[B], most: float = MOST_HEIGHT) -> list[tuple[list[B], list[B]]]:
    """Blocks down the left of a sheet, then down its right; the last sheet with even columns.

    >>> class Block:
    ...     height = 400.0
    >>> [(len(left), len(right)) for left, right in in_columns([Block()] * 7, most=900.0)]
    [(2, 2), (2, 1)]
    """
    columns = [
        [block for row in sheet for block in row]
        for sheet in in_sheets([[b] for b in blocks], most)
    ]
    sheets = [columns[start : start + 2] for start in range(0, len(columns), 2)]
    return [*((left, right) for left, right in sheets[:-1]), *map(_even, sheets[-1:])]


def _even(sheet: list[list[B]]) -> tuple[list[B], list[B]]:
    """The same blocks in two columns, the higher of which is as low as it can be."""
    blocks = [block for column in sheet for block in column]
    heights = [block.height for block in blocks]
    split = min(
        range(1, len(blocks) + 1), key=lambda n: (max(sum(heights[:n]), sum(heights[n:])), -n)
    )
    return blocks[:split], blocks[split:]


def row_height(row: Sequence[B]) -> float:
    """The height of the highest."""
    return max(block.height for block in row)
