"""Not checked: what is left to the electrician and the inspector, subject by subject.

The code book says what no rule holds and why: nothing works it out yet, no shop file states it, or
only eyes on the spot can tell. Subjects that a shop has nothing of are left out.
"""

from collections.abc import Callable, Iterator
from typing import Final

from models.plan import Finding
from models.rules.code_book import OPEN_BECAUSE, Entry, code_book
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

NOT_CHECKED = RuleText(
    "not-checked",
    "What is not checked",
    "These questions are open: the plan neither answers them nor claims to.",
    "see each",
    "plan",
)
RULES = registry(NOT_CHECKED)
ONLY_WITH: Final[dict[str, Callable[[Reading], bool]]] = {
    "ground-fault protection": lambda reading: not reading.shop.building.dwelling,
    "arc-fault protection": lambda reading: reading.shop.building.dwelling,
    "required outlets": lambda reading: reading.shop.building.dwelling,
    "multiwire circuits": lambda reading: any(c.multiwire_with for c in reading.plan.circuits),
    "detached building": lambda reading: not reading.shop.building.attached,
    "heating, cooling, charging": lambda reading: any(
        machine.kind in ("space heat", "cooling", "vehicle charger") or machine.mca_amps
        for machine in reading.shop.machines
    ),
    "motors": lambda reading: any(machine.motor_hp for machine in reading.shop.machines),
    "welders": lambda reading: any(machine.i1max_amps for machine in reading.shop.machines),
}
ASK_AND_LOOK: Final = "ask the electrician, and look on the spot"


def check(reading: Reading) -> Iterator[Finding]:
    """Yield one finding for each subject with questions that stay open."""
    subjects: dict[str, list[Entry]] = {}
    for entry in left_open(reading):
        subjects.setdefault(entry.subject, []).append(entry)
    for subject, entries in subjects.items():
        yield NOT_CHECKED.finding(
            subject,
            _says(entries, reading.edition),
            edition=reading.edition,
            severity="not-checked",
            fix=ASK_AND_LOOK,
        )


def left_open(reading: Reading) -> Iterator[Entry]:
    """What the code book leaves open for a shop, in its order."""
    for entry in code_book():
        has = ONLY_WITH.get(entry.subject)
        if entry.left_open and entry.is_in(reading.edition) and (has is None or has(reading)):
            yield entry


def _says(entries: list[Entry], edition: int) -> str:
    """What is open, by the reason why, each with its section."""
    parts = []
    for reason in OPEN_BECAUSE:
        told = [
            f"{entry.left_open} ({section})"
            if (section := entry.section_in(edition))
            else entry.left_open
            for entry in entries
            if entry.open_because == reason
        ]
        if told:
            parts.append(f"{reason}: {', '.join(told)}")
    return "; ".join(parts)
