"""Compiling inner loops, by numba: only these modules import it, and they are imported late."""

from collections.abc import Callable
from importlib import import_module
from typing import Any

numba: Any = import_module("numba")


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """A function compiled at its first call, kept on disk, run without Python's lock."""
    made: Callable[..., Any] = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    return made
