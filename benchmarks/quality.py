"""How good a plan is at the usual effort: against the best of five seeds at ten times the effort.

    python -m benchmarks quality SHOP ...

Each shop in three variants: multiwire pairs at ordinary prices, at dear ones, and none. Each plan
is made in a process of its own, so that its peak memory can be told. Times in seconds, of this run.
"""

import json
import resource
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from time import monotonic
from typing import Any, Final

from benchmarks.shops import VARIANTS, priced
from models.price_book import PriceBook
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.progress import Event
from solver.solve import DEFAULT_EFFORT, Control

SEEDS: Final = (1, 2, 3, 4, 5)
MORE: Final = 10
KIB_PER_MIB: Final = 1024
ROOT: Final = Path(__file__).resolve().parent.parent


def measure(path: Path, variant: str, effort: int, seed: int) -> dict[str, Any]:
    """Plan in this process: what it costs, how long it took, how much memory at most."""
    began = monotonic()
    first: list[float] = []

    def listen(event: Event) -> None:
        if event.best is not None and not first:
            first.append(monotonic() - began)

    pairs, times = VARIANTS[variant]
    shop = changed(read_shop(path), [("code.multiwire", pairs)])
    control = Control(effort, seed, listen=listen)
    plan = plan_shop(shop, priced(PriceBook.read(), times), control).plan
    total = monotonic() - began
    broken = plan is None or any(f.severity == "violation" for f in plan.findings)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {
        "value": None if plan is None or broken else plan.objective.value,
        "first_s": first[0] if first else total,
        "total_s": total,
        "peak_mib": peak / KIB_PER_MIB,
    }


def in_child(path: Path, variant: str, effort: int, seed: int) -> dict[str, Any]:
    """The same in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.quality", str(path.resolve()), variant]
    done = subprocess.run(
        [*command, str(effort), str(seed)], cwd=ROOT, check=True, capture_output=True, text=True
    )
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def quality(path: Path, variant: str, effort: int = DEFAULT_EFFORT, more: int = MORE) -> str:
    """One row: gap to the best known, first plan, total, peak memory."""
    usual = in_child(path, variant, effort, SEEDS[0])
    deep = [in_child(path, variant, effort * more, seed)["value"] for seed in SEEDS]
    known = [value for value in (usual["value"], *deep) if value is not None]
    if usual["value"] is None:
        return f"{path.stem:28} {variant:12} no plan"
    gap = 100 * (usual["value"] / min(known) - 1)
    return (
        f"{path.stem:28} {variant:12} {usual['value']:10.2f} {min(known):10.2f} {gap:7.2f}"
        f" {usual['first_s']:8.2f} {usual['total_s']:8.2f} {usual['peak_mib']:8.0f}"
    )


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    print(
        f"{'shop':28} {'variant':12} {'value':>10} {'best known':>10} {'gap %':>7} {'first s':>8}"
        f" {'total s':>8} {'MiB':>8}"
    )
    for path in map(Path, arguments):
        for variant in VARIANTS:
            print(quality(path, variant), flush=True)


if __name__ == "__main__":
    print(json.dumps(measure(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))))
