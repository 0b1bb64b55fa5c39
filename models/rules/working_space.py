"""Working space in front of the panel: 30 in wide, 36 in deep, kept clear. Feet."""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import WORKING_SPACE_DEPTH_FT, WORKING_SPACE_WIDTH_FT, Panel

SPACE = RuleText(
    "working-space",
    "Working space at the panel",
    "In front of a panel 30 in of width and 36 in of depth stay clear of machines and of boxes that"
    " stand out, from the floor to 6.5 ft; door swings are not looked at.",
    "NEC 110.26(A)",
    "code",
    rests_on_memory=True,
)
RULES = registry(SPACE)
TOP_FT = 6.5


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each machine or box in the working space."""
    for panel in reading.shop.supply.panels:
        for name, x, y in _things(reading, panel):
            if _inside(reading, panel, x, y):
                yield SPACE.finding(
                    name,
                    f"{name} stands in the working space of panel {panel.id} (30 in x 36 in)",
                    edition=reading.edition,
                    fix=f"move {name} clear of the panel",
                )


def _things(reading: Reading, panel: Panel) -> Iterator[tuple[str, float, float]]:
    """Machines where they stand, and boxes below 6.5 ft that are not on the panel's own wall."""
    for machine in reading.shop.machines:
        if machine.at is not None:
            yield machine.id, *machine.at
    for box in reading.shop.boxes:
        x, y, z = reading.shop.position(box)
        if z <= TOP_FT and box.wall != panel.wall and not box.outdoors:
            yield box.id, x, y


def _inside(reading: Reading, panel: Panel, x: float, y: float) -> bool:
    """Whether a point lies in front of a panel within the working space."""
    if panel.wall is None:
        return False
    px, py, _ = reading.shop.position(panel)
    (x0, y0), (x1, y1) = reading.shop.building.wall_ends(panel.wall)
    length = abs(x1 - x0) + abs(y1 - y0)
    along = (x1 - x0) / length, (y1 - y0) / length
    aside = (x - px) * along[0] + (y - py) * along[1]
    inwards = -(x - px) * along[1] + (y - py) * along[0]  # walls run counter-clockwise
    return abs(aside) < WORKING_SPACE_WIDTH_FT / 2 and 0 < inwards < WORKING_SPACE_DEPTH_FT
