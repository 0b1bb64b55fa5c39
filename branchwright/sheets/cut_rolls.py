"""Rolls and sticks with what is cut of each, the longest piece first, numbered through.

Papers and the drawing call a piece by the same mark, `3-2` for the second of the third roll or
stick. What is bought by the foot is cut as the pull list says, and is none of these. Inches.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from models.plan import CutPiece, Plan, PurchaseLine

INCHES: Final = 12


@dataclass(frozen=True)
class Roll:
    """One roll or stick: `number` among all of the purchase, `place` among those of its line."""

    number: int
    place: int
    line: PurchaseLine
    pieces: tuple[CutPiece, ...]

    @property
    def length_in(self) -> int:
        """As it is sold."""
        return round(INCHES * (self.line.package_ft or 0))

    @property
    def left_in(self) -> int:
        """What is left of it."""
        return self.length_in - sum(piece.length_in for piece in self.pieces)

    def mark(self, order: int) -> str:
        """What a piece is called, by its order from 1."""
        return f"{self.number}-{order}"


def rolls(plan: Plan) -> Iterator[Roll]:
    """Every roll and stick, in the order of the purchase."""
    number = 0
    for line in plan.purchase or ():
        if line.package_ft is None:
            continue
        for place in range(1, line.packages + 1):
            number += 1
            pieces = [piece for piece in line.pieces if piece.package == place]
            pieces.sort(key=lambda piece: -piece.length_in)
            yield Roll(number, place, line, tuple(pieces))
