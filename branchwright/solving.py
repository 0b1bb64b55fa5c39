"""Solving in a thread, with Ctrl-C heeded: the first keeps the best plan, the second leaves."""

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from types import FrameType, TracebackType
from typing import Any, Self

from branchwright.leaving import INTERRUPTED
from branchwright.watching import Watchers
from models.price_book import PriceBook
from models.shop import Shop
from solver.plan import Outcome, plan_shop
from solver.solve import Control

STOPPING = "stopping: keeping the best plan found so far (Ctrl-C again leaves at once)"
TICK_SECONDS = 0.2
STDERR = 2


class CtrlC:
    """Ctrl-C from here to the end of the block: the first stops the work, the second leaves.

    Inside `undisturbed` the second waits: what is written there is written whole. The handler
    itself writes nothing through a stream that it may have interrupted.
    """

    def __init__(self, control: Control) -> None:
        self.control = control
        self._writing = self._leaving = False
        self._before: Any = None

    def __enter__(self) -> Self:
        if threading.current_thread() is threading.main_thread():  # no other may take it over
            self._before = signal.signal(signal.SIGINT, self._pressed)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)

    @contextmanager
    def undisturbed(self) -> Iterator[None]:
        """What happens here is not left half done."""
        self._writing = True
        try:
            yield
        finally:
            self._writing = False
            if self._leaving:
                self._leave()

    def _pressed(self, _number: int, _frame: FrameType | None) -> None:
        if not self.control.stopped:
            self.control.stop()
        elif self._writing:
            self._leaving = True
        else:
            self._leave()

    def _leave(self) -> None:
        if os.isatty(STDERR):
            os.write(STDERR, b"\n")  # below the line that shows progress
        os._exit(INTERRUPTED)


def solve(shop: Shop, book: PriceBook, control: Control, watchers: Watchers) -> Outcome:
    """What comes of planning a shop, in a thread of its own; the caller's waits for Ctrl-C."""
    done = threading.Event()
    result: list[Outcome | BaseException] = []

    def work() -> None:
        try:
            result.append(plan_shop(shop, book, control))
        except BaseException as error:
            result.append(error)
        finally:
            done.set()

    threading.Thread(target=work, name="solver", daemon=True).start()
    told = False
    while not done.wait(TICK_SECONDS):
        if control.stopped and not told:
            control.tell(STOPPING)
            told = True
        watchers.tick(control.elapsed)
    if isinstance(result[0], BaseException):
        raise result[0]
    return result[0]


def run_facts(control: Control) -> dict[str, Any]:
    """Wall-clock facts, kept out of the plan so that the plan is repeatable."""
    return {
        "finished": datetime.now(UTC).isoformat(timespec="seconds"),
        "wall_seconds": round(control.elapsed, 2),
        "cores": os.cpu_count(),
        "python": sys.version.split()[0],
        "platform": sys.platform,
        "seconds_allowed": control.seconds,
        "interrupted": control.stopped,
    }
