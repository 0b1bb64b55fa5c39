"""What a plan asks to buy, and its sums. Money in USD."""

from models.plan.part import Part


class TakeoffLine(Part):
    """One counted material, at its per-unit price."""

    key: str
    item: str
    quantity: float
    unit: str
    unit_price_usd: float
    cost_usd: float


class PurchaseLine(Part):
    """Whole rolls and sticks to buy."""

    key: str
    item: str
    packages: int
    package: str
    cost_usd: float


class Totals(Part):
    """Sums over new work; circuits and spaces with those that are there already."""

    cable_ft: float
    conductor_ft: float
    copper_lb: float
    material_cost_usd: float
    labour_cost_usd: float | None
    circuits: int
    spaces_used: int
