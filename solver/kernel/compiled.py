"""Compiling inner loops: numba, and whole numbers at random that need no library."""

from collections.abc import Callable
from typing import Any, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., Any])


def compiled(function: Function) -> Function:
    """A function compiled at its first call, kept on disk, run without Python's lock."""
    made: Function = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    return made
