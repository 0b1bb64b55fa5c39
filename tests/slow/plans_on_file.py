"""Plans under `tests/plans` and the invented prices, as a reader without the program has them."""

import csv
import json
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def book_prices():
    """Prices of the invented book by part, read here and not by the program; not those of whole
    rolls and sticks. [USD]
    """
    text = (ROOT / "models" / "prices" / "invented.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    rows = [row for row in csv.DictReader(lines) if row["unit"] in ("ft", "each")]
    return {row["key"]: float(row["price_usd"]) for row in rows}


def plan_on_file(name):
    """A plan under `tests/plans`."""
    return json.loads((ROOT / "tests" / "plans" / name / "plan.json").read_text("utf-8"))
