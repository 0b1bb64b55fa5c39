"""What every part of a plan is made of: frozen claims, kinds of things, sizes, places."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Xyz = tuple[float, float, float]
Awg = Annotated[str, Field(pattern=r"^(14|12|10|8|6|4|3|2|1|[1-4]/0)$")]
Life = Literal["existing", "new", "removed"]
Known = Literal["verified", "believed", "unknown"]
Role = Literal["hot", "hot2", "neutral", "ground", "switched", "traveller", "traveller2", "spare"]
NOW = "now"
THEN = "with machines to come"  # the stage with all that room is kept for


class Part(BaseModel):
    """A part of the plan; keys it does not know are kept."""

    model_config = ConfigDict(frozen=True, extra="allow", allow_inf_nan=False, defer_build=True)
