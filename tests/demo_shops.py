"""The demo shops under `scenarios`, by the names of their files."""

from pathlib import Path

SCENARIOS = Path(__file__).resolve().parent.parent / "scenarios"
DEMO_SHOPS = tuple(sorted(path.stem for path in SCENARIOS.glob("*.yaml")))
