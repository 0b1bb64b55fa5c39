"""Solving in a thread, with Ctrl-C heeded: the first keeps the best plan, the second leaves."""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from types import FrameType
from typing import Any

from models.price_book import PriceBook
from models.shop import Shop
from solver.plan import Outcome, plan_shop
from solver.solve import Control

INTERRUPTED = 130


class Progress:
    """What the solver is doing, on stderr: one changing line on a terminal, else plain lines."""

    def __init__(self) -> None:
        self.began, self.live, self.shown = time.monotonic(), sys.stderr.isatty(), 0

    def __call__(self, says: str) -> None:
        """Tell one thing."""
        line = f"{time.monotonic() - self.began:5.1f} s  {says}"
        if self.live:
            sys.stderr.write("\r" + line.ljust(self.shown))
            self.shown = len(line)
        else:
            sys.stderr.write(line + "\n")
        sys.stderr.flush()

    def close(self) -> None:
        """Clear the changing line."""
        if self.live and self.shown:
            sys.stderr.write("\r" + " " * self.shown + "\r")
            sys.stderr.flush()


def solve(shop: Shop, book: PriceBook, control: Control) -> tuple[Outcome, bool]:
    """The outcome, and whether Ctrl-C ended the work; a second Ctrl-C leaves at once."""
    done = threading.Event()
    result: list[Outcome | BaseException] = []

    def work() -> None:
        try:
            result.append(plan_shop(shop, book, control))
        except BaseException as error:
            result.append(error)
        finally:
            done.set()

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        if control.stopped:
            os._exit(INTERRUPTED)
        control.tell("stopping: keeping the best plan found so far (Ctrl-C again leaves at once)")
        control.stop()

    before = _handle(interrupt)
    try:
        threading.Thread(target=work, name="solver", daemon=True).start()
        while not done.wait(0.2):
            pass
    finally:
        if before is not None:
            signal.signal(signal.SIGINT, before)
    if isinstance(result[0], BaseException):
        raise result[0]
    return result[0], control.stopped


def _handle(interrupt: Callable[[int, FrameType | None], None]) -> Any:
    """Take Ctrl-C over where that is possible: only the main thread may."""
    if threading.current_thread() is not threading.main_thread():
        return None
    return signal.signal(signal.SIGINT, interrupt)


def run_facts(control: Control, wall_seconds: float, interrupted: bool) -> dict[str, Any]:
    """Wall-clock facts, kept out of the plan so that the plan is repeatable."""
    return {
        "finished": datetime.now(UTC).isoformat(timespec="seconds"),
        "wall_seconds": round(wall_seconds, 2),
        "cores": os.cpu_count(),
        "python": sys.version.split()[0],
        "platform": sys.platform,
        "seconds_allowed": control.seconds,
        "interrupted": interrupted,
    }
