"""Every way to deal things out, for tests that count out what a solver finds."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

Thing = TypeVar("Thing")


def dealt_out(things: Sequence[Thing]) -> Iterator[list[list[Thing]]]:
    """Every way to deal things out to groups.

    >>> list(dealt_out("ab"))
    [[['a'], ['b']], [['a', 'b']]]
    """
    if not things:
        yield []
        return
    first, rest = things[0], things[1:]
    for groups in dealt_out(rest):
        yield [[first], *groups]
        for index, group in enumerate(groups):
            yield [*groups[:index], [first, *group], *groups[index + 1 :]]
