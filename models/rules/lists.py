"""Lists in a sentence: the first names, and how many more there are."""

from collections.abc import Sequence
from typing import Final

MOST_NAMED: Final = 12


def listed(names: Sequence[str]) -> str:
    """Names one after the other; a long list ends with the number of those left out.

    >>> listed(["W1", "W2", "W3"])
    'W1, W2, W3'
    >>> listed([f"W{number}" for number in range(1, 20)])
    'W1, W2, W3, W4, W5, W6, W7, W8, W9, W10, W11, W12 and 7 more'
    """
    told = ", ".join(names[:MOST_NAMED])
    left = len(names) - MOST_NAMED
    return f"{told} and {left} more" if left > 0 else told
