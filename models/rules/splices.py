"""Splices: only conductors of one circuit and one role meet, and each is in one splice at most."""

from collections import Counter
from collections.abc import Iterator

from models.plan import BoxPlan, Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

SPLICES = RuleText(
    "splices",
    "What meets in a box",
    "A splice joins conductors of one circuit and one role: never a hot with a neutral or a ground,"
    " never two circuits. A conductor called spliced is in one splice, any other in none.",
    "NEC 110.14(B), 200.4",
    "code",
    rests_on_memory=True,
)
RULES = registry(SPLICES)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each splice that joins what must not meet, or misses a conductor."""
    for box in reading.plan.boxes:
        for says in _faults(box):
            yield SPLICES.finding(
                box.id,
                says,
                edition=reading.edition,
                detail=says,
                fix=f"list the splices of {box.id} again",
            )


def _faults(box: BoxPlan) -> Iterator[str]:
    """What is wrong with the splices of one box."""
    listed = {f"{c.run}.{c.role}": c for c in box.conductors}
    for splice in box.splices:
        inside = [listed[name] for name in splice.joins if name in listed]
        if len({(c.circuit, c.role) for c in inside}) > 1:
            yield f"a splice in {box.id} joins {' and '.join(splice.joins)}"
    spliced = Counter(name for splice in box.splices for name in splice.joins)
    for name, conductor in listed.items():
        wanted = 1 if conductor.ends == "spliced" else 0
        if spliced[name] != wanted:
            yield f"{name} in {box.id} is {conductor.ends} and in {spliced[name]} splices"
