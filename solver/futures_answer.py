"""All that is said of what may come: the futures, each thing's run by itself, what would help."""

from typing import NamedTuple

from models.plan import Plan
from models.price_book import PriceBook
from solver.coming_runs import ComingRun, ComingRuns
from solver.futures import Future, Futures
from solver.futures_remedies import Help, helping


class Answered(NamedTuple):
    """The answer about a plan; `runs` is empty where no prices are at hand."""

    futures: Futures
    every: tuple[Future, ...]
    runs: tuple[ComingRun, ...]
    alone: tuple[Help, ...]
    together: tuple[Help, ...]


def answered(plan: Plan, book: PriceBook | None) -> Answered:
    """What may come to a plan's shop."""
    futures = Futures(plan)
    every = futures.all()
    runs = tuple(ComingRuns(futures, book).all()) if book is not None else ()
    alone, together = helping(futures, every)
    return Answered(futures, every, runs, tuple(alone), tuple(together))
