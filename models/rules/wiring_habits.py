"""Habits of the trade about boxes and cable: receptacles above sheet goods, no bare cable. Feet.

None of them is law; each gives one note for the whole plan.
"""

from collections.abc import Iterator
from typing import Final

from models.naming import natural
from models.plan import Finding, OutletPlan
from models.rules.reading import Reading, new_runs
from models.rules.rule import SAME_FT, RuleText, registry
from models.spaces import sections

ABOVE_SHEETS_FT: Final = 4.0  # a sheet of plywood on its long edge; common practice, no source

HEIGHT = RuleText(
    "receptacle-height",
    "Receptacles above sheet goods",
    "Receptacles on walls that no machine is plugged into all the time are at 48 to 50 in, where a"
    " sheet of plywood that leans there does not cover them.",
    "common practice, no source",
    "habit",
)
EXPOSED = RuleText(
    "exposed-cable",
    "Cable in the open",
    "Nonmetallic cable does not lie on walls and ceilings in the open: tubing protects it there."
    " The code asks for protection where it can be hurt (334.15(B)).",
    "common practice, no source",
    "habit",
)
RULES = registry(HEIGHT, EXPOSED)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a note for the receptacles that are low, and one for the cable that shows."""
    low = [o for o in reading.plan.outlets if o.life == "new" and _is_low(reading, o)]
    taken = {
        outlet.box for machine in reading.plan.machines if (outlet := reading.outlet_of(machine))
    }
    boxes = sorted({outlet.box for outlet in low} - taken, key=natural)
    if boxes:
        yield HEIGHT.finding(
            "receptacles",
            f"below 48 in, where sheet goods cover them: {', '.join(boxes)}",
            edition=reading.edition,
            severity="note",
            fix="48 to 50 in above the floor, or nothing stored in front of them",
        )
    exposed = {
        run.id
        for circuit in reading.worked_circuits
        for run in new_runs(circuit)
        if run.method == "cable"
        and any(
            section.lies == "on surface"
            for section in sections(reading.shop.building, run.path, "cable")
        )
    }
    if exposed:
        runs = ", ".join(sorted(exposed, key=natural))
        yield EXPOSED.finding(
            "cable",
            f"cable lies in the open in run{'s' * (len(exposed) > 1)} {runs}",
            edition=reading.edition,
            severity="note",
            fix="tubing for these runs, or boards that cover the cable",
        )


def _is_low(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether a receptacle is on a wall inside and lower than a sheet on its long edge."""
    box = reading.box_of_shop(outlet)
    height_ft = reading.shop.position(box)[2]
    on_wall = outlet.kind == "receptacle" and box.ceiling is None and not box.outdoors
    return on_wall and height_ft < ABOVE_SHEETS_FT - SAME_FT
