"""What a plan asks to buy, and its sums. Money in USD."""

from pydantic import Field

from models.plan.part import Part


class TakeoffLine(Part):
    """One counted material, at its per-unit price."""

    key: str
    item: str
    quantity: float
    unit: str
    unit_price_usd: float
    cost_usd: float


class CutPiece(Part):
    """A piece that is cut of what is bought: for a run, or part of a raceway."""

    of: str = Field(description="Id of the run or raceway")
    package: int = Field(ge=1, description="Which of the line's lengths it is cut of, from 1")
    length_in: int = Field(ge=1, description="Cut length, rounded up to the next inch")


class PurchaseLine(Part):
    """Whole rolls and sticks to buy, or pieces at their lengths, and what is cut of them."""

    key: str
    item: str
    colour: str | None = Field(None, description="Of single conductors")
    packages: int = Field(ge=1)
    package: str
    package_ft: float | None = Field(
        None, gt=0, description="null: sold by the foot, cut to length"
    )
    price_usd: float | None = Field(None, description="Of one package, or of a foot")
    cost_usd: float
    pieces: tuple[CutPiece, ...] = ()


class Totals(Part):
    """Sums over new work; circuits and spaces with those that are there already."""

    cable_ft: float
    conductor_ft: float
    copper_lb: float
    material_cost_usd: float
    labour_cost_usd: float | None
    circuits: int
    spaces_used: int
