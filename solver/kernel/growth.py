"""Growth: circuits that the relaxation would like better than those it has.

From the circuits of least reduced cost others are made by taking an item in, leaving one out, or
exchanging two, where a guess says that it may pay; those with a negative reduced cost join, and the
relaxation is solved again, until nothing is found or the work is done (column generation with a
heuristic pricing: Lübbecke & Desrosiers 2005).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

from solver.kernel.search import Group
from solver.kernel.shortlist import Column, Relaxation, Rows, Worth

TOP: Final = 80  # circuits to grow from
BEST: Final = 3  # items to take in and to leave out, for an exchange
HOPE: Final = 30_000  # a guess may be wrong by so much [0.0001 USD]
ENOUGH: Final = 120  # better circuits found, before the relaxation is solved again
Alike = Callable[[Group], Group]


class Growth:
    """The growth of one set of columns."""

    def __init__(
        self,
        column: Callable[[Group], Column | None],
        alike: Alike,
        near: Sequence[Sequence[int]],
        step: Sequence[Mapping[int, int]],
        over: Callable[[], bool],
    ) -> None:
        self.column, self.alike, self.near, self.step, self.over = column, alike, near, step, over

    def run(
        self,
        rows: Rows,
        groups: dict[Group, Column],
        kept: Sequence[Group],
        rounds: int,
        before: Worth | None = None,
    ) -> Worth | None:
        """Add better circuits to `groups`; what everything is worth in the end.

        `before`: what everything was worth when it was last asked.
        """
        worth = before
        for _ in range(rounds):
            names = list(groups)
            at = {group: number for number, group in enumerate(names)}
            relaxation = Relaxation(rows, list(groups.values()))
            worth = relaxation.solve([at[group] for group in kept], worth)
            if worth is None or self.over():
                break
            reduced = relaxation.reduced(worth)
            top = reduced.argsort(kind="stable")[:TOP]
            found: dict[Group, Column] = {}
            for number in top.tolist():
                if self.over():
                    break
                for group in self._changed(names[number], float(reduced[number]), worth):
                    if group in groups or group in found:
                        continue
                    column = self.column(group)
                    if column is not None and worth.reduced(column) < -1.0:
                        found[group] = column
                if len(found) >= ENOUGH:
                    break
            if not found:
                break
            groups.update(found)
        return worth

    def _changed(self, group: Group, reduced: float, worth: Worth) -> Iterator[Group]:
        """Other circuits that may have a lower reduced cost, the most hopeful first."""
        taking: list[tuple[float, int]] = []
        for item in sorted({other for one in group for other in self.near[one]} - group):
            step = min(self.step[item][one] for one in group)
            taking.append((step - self._worth(item, worth), item))
        leaving: list[tuple[float, int]] = []
        for item in sorted(group) if len(group) > 1 else ():
            step = min(self.step[item][one] for one in group if one != item)
            leaving.append((self._worth(item, worth) - step, item))
        taking.sort()
        leaving.sort()
        for gain, item in taking:
            if reduced + gain < HOPE:
                yield self.alike(group | {item})
        for gain, item in leaving:
            if reduced + gain < HOPE:
                yield self.alike(group - {item})
        for gain, item in taking[:BEST]:
            for other_gain, other in leaving[:BEST]:
                if reduced + gain + other_gain < HOPE:
                    yield self.alike(group - {other} | {item})

    def _worth(self, item: int, worth: Worth) -> float:
        (alike,) = self.alike(frozenset([item]))
        return float(worth.items[alike])
