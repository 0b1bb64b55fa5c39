"""The bound of a large shop, worked out by a process of its own while the search goes on.

The second of two workers. It is asked for at one place of the search only, so that one core or
many give the same plan. The question goes through a pipe that stays open: where the search is
ended from outside, the pipe ends with it, and by that this process. The answer lies in a file
without a name.
"""

import os
import pickle
import subprocess
import sys
from contextlib import suppress
from tempfile import TemporaryFile
from types import TracebackType
from typing import Final, Self

from models.price_book import PriceBook
from models.shop import Shop
from solver.bound.certificate import Certificate
from solver.solve import Control

LOOK_S: Final = 0.1  # between two looks whether the search has to stop


class Beside:
    """A bound under way; leaving its context ends it."""

    def __init__(self, shop: Shop, book: PriceBook, effort: int) -> None:
        self._answer = TemporaryFile()  # noqa: SIM115 closed on leaving
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "solver.bound"],
            stdin=subprocess.PIPE,
            stdout=self._answer,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))},
            start_new_session=True,  # Ctrl-C is for the search, which then ends this
        )
        question = pickle.dumps((shop, book, effort))
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):  # it has failed, which is told when it is asked for
            pickle.dump(question, self._process.stdin)  # as bytes: read before all imports
            self._process.stdin.flush()

    def __enter__(self) -> Self:
        """Nothing is to be done."""
        return self

    def __exit__(
        self, _: type[BaseException] | None, __: BaseException | None, ___: TracebackType | None
    ) -> None:
        """End it, wherever it is."""
        self._process.kill()
        self._process.communicate()
        self._answer.close()

    def found(self, control: Control) -> Certificate | None:
        """Its result, waited for; None when the search has to stop before, or where there is none.

        Raises RuntimeError when the process failed.
        """
        while self._process.poll() is None:
            if control.late():
                return None
            try:
                self._process.wait(LOOK_S)
            except subprocess.TimeoutExpired:
                continue
        if self._process.returncode:
            raise RuntimeError(f"the bound's process ended with {self._process.returncode}")
        self._answer.seek(0)
        certificate: Certificate | None = pickle.load(self._answer)
        return certificate
