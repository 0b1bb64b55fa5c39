"""Jobs shared by two processes: this one and a fork of it, each taking the last one left, so that
where long ones stand last, both end at about the same time.

Where there is no fork, this process does them all. What the other one was lost with is done here
again, so that whatever goes wrong is told as if there were no other.
"""

import os
import pickle
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import NoReturn, TypeVar

from branchwright.leaving import undisturbed
from solver.second import end_with

Answer = TypeVar("Answer")


def in_two(jobs: Sequence[Callable[[], Answer]]) -> list[Answer]:
    """The answers of at most 256 jobs, in the order of the jobs."""
    left, given = os.pipe()
    os.write(given, bytes(reversed(range(len(jobs)))))
    os.close(given)
    with open(left, "rb", buffering=0) as numbers:

        def work() -> dict[int, Answer]:
            return {taken[0]: jobs[taken[0]]() for taken in iter(lambda: numbers.read(1), b"")}

        with _other(work) as theirs:
            done = work() | theirs()
    return [done[number] if number in done else job() for number, job in enumerate(jobs)]


@contextmanager
def _other(work: Callable[[], dict[int, Answer]]) -> Iterator[Callable[[], dict[int, Answer]]]:
    """Another process at work until the block is left; gives what waits for its answers.

    None of them where it was lost, or never came to be.
    """
    if not hasattr(os, "fork") or threading.active_count() > 1:  # a fork has one thread only
        yield dict
        return
    watched, held = os.pipe()
    answers, answered = os.pipe()
    with undisturbed(), warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of threads that libraries keep asleep
        process = os.fork()
        if not process:
            os.close(held)
            _work(work, watched, answered)
    os.close(watched)
    os.close(answered)

    def theirs() -> dict[int, Answer]:
        try:
            found: dict[int, Answer] = pickle.load(told)
        except (EOFError, pickle.UnpicklingError):
            return {}
        return found

    try:
        with open(answers, "rb") as told:
            yield theirs
    finally:
        os.close(held)  # which ends it, wherever it is
        os.waitpid(process, 0)


def _work(work: Callable[[], object], watched: int, answered: int) -> NoReturn:
    """What the other process does, deaf to Ctrl-C and without a word to anybody but this one."""
    try:
        end_with(watched)
        with open(answered, "wb") as file:
            pickle.dump(work(), file)
    finally:
        os._exit(0)
