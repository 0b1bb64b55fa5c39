"""Working space in front of the panel: 30 in wide, 36 in deep, kept clear. Feet."""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import Panel
from models.working_space import TOP_FT, in_working_space

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


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each machine or box in the working space."""
    for panel in reading.shop.supply.panels:
        for name, x, y in _things(reading, panel):
            if in_working_space(reading.shop, panel, x, y):
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
