"""Side by side: the planner against simpler ways to group the same receptacles, in one run.

    python -m benchmarks [SHOP ...]        costs and times of the demo shop, or of others
    python -m benchmarks shops             the same of many shops in three variants, as one table
    python -m benchmarks quality SHOP ...  the usual effort against ten times as much
    python -m benchmarks growth [--most N] how time and memory grow with the size of a shop; --help
    python -m benchmarks capacitated-tree FILE --capacity Q --seconds S
                                           a public instance with a published optimum; --help
    python -m benchmarks recheck FILE CERTIFICATE
                                           its result and bound again, by code of its own
    python -m benchmarks public --data DIR  the same instances by simpler ways too; --help
    python -m benchmarks cutting --data DIR cutting and packing, against published optima
    python -m benchmarks steiner --data DIR the trees of circuits on public Steiner problems
    python -m benchmarks --picture         make the drawings under docs again

Every way uses the same routes, builds, prices and exact checks; only the grouping differs. Times
are of this run on this machine: read the ratios.
"""

import sys
from collections.abc import Sequence
from pathlib import Path

from benchmarks import (
    capacitated_tree,
    cutting,
    growth,
    public,
    quality,
    recheck,
    shops,
    steiner,
)
from benchmarks.results import picture, read_results
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.shop_plan import shop_plan
from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.solve import Control
from solver.survey import survey

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "scenarios" / "one_bay_garage.yaml"
DOCS = ROOT / "docs"
RESULTS = ROOT / "benchmarks" / "results_public.csv"
SECONDS = 20.0
COMMANDS = {
    "shops": shops.main,
    "quality": quality.main,
    "growth": growth.main,
    "cutting": cutting.main,
    "capacitated-tree": capacitated_tree.main,
    "recheck": recheck.main,
    "public": public.main,
    "steiner": steiner.main,
}


def pictures() -> dict[str, str]:
    """The drawings that README.md shows, by the name of their file under docs."""
    outcome = plan_shop(read_shop(DEMO), PriceBook.read(), Control())
    assert outcome.plan is not None
    metal = read_shop(DEMO.parent / "half_wired_metal_shop.yaml")
    understood = shop_plan(metal, survey(metal, PriceBook.read()))
    return {
        "one_bay_garage.svg": floor_plan(outcome.plan).svg() + "\n",
        "half_wired_metal_shop.svg": understood.svg() + "\n",
        "public_instances.svg": picture(read_results(RESULTS), public.WAYS).svg() + "\n",
    }


def main(arguments: Sequence[str]) -> None:
    """Run what the arguments ask for."""
    if list(arguments) == ["--picture"]:
        DOCS.mkdir(exist_ok=True)
        for name, drawing in pictures().items():
            (DOCS / name).write_text(drawing, encoding="utf-8")
        return
    if arguments and arguments[0] in COMMANDS:
        COMMANDS[arguments[0]](arguments[1:])
        return
    for path in map(Path, arguments or [str(DEMO)]):
        rows = shops.compare(read_shop(path), path.stem, "as it is", PriceBook.read(), SECONDS)
        print(shops.table(rows))


if __name__ == "__main__":
    main(sys.argv[1:])
