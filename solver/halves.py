"""Halves of a multiwire pair: ways to deal items to two circuits."""

from collections.abc import Callable, Iterator, Mapping, Sequence

Items = frozenset[int]
Halves = tuple[Items, Items]
NONE = Items()


class Dealing:
    """Ways to deal items to two halves neither of which is crowded.

    `amps`: what the machines of each item draw [A]; the lighter half is tried first. `sides`: 0 or
    1 for items whose half is given. `seats`: of items that are a machine, the items one of which
    has to be in the same half. After so many steps the rest is left undone.
    """

    def __init__(
        self,
        amps: Sequence[float],
        crowds: Callable[[Items], bool],
        sides: Mapping[int, int],
        seats: Mapping[int, Items],
        most_steps: int,
    ) -> None:
        self.amps, self.crowds, self.sides, self.seats = amps, crowds, sides, seats
        self.steps, self.most_steps = 0, most_steps

    @property
    def cut_short(self) -> bool:
        """Whether something was left undone."""
        return self.steps > self.most_steps

    def halves(
        self, left_over: Sequence[int], left: Items = NONE, right: Items = NONE
    ) -> Iterator[Halves]:
        """Every way to deal what is left over, one by one in its order."""
        if self.cut_short:
            return
        if not left_over:
            yield left, right
            return
        self.steps += 1
        item, *rest = left_over
        lighter = self._drawn(right) < self._drawn(left)
        for side in (1, 0) if lighter else (0, 1):
            if self.sides.get(item, side) != side or (side and not left and not self.sides):
                continue  # without given sides, turned around it is the same pair
            grown = (right if side else left) | {item}
            halves = (left, grown) if side else (grown, right)
            if all(self._is_seated(half, rest) for half in halves) and not self.crowds(grown):
                yield from self.halves(rest, *halves)

    def _drawn(self, half: Items) -> float:
        return sum(self.amps[item] for item in half)

    def _is_seated(self, half: Items, left_over: Sequence[int]) -> bool:
        """Whether every machine of a half finds a seat there or among what is left over."""
        return not any(
            machine in half and seats.isdisjoint(half) and seats.isdisjoint(left_over)
            for machine, seats in self.seats.items()
        )
