"""Interlocks that a plan rests on: the device, and what it keeps from running at once."""

from collections.abc import Iterator

from branchwright.readings import shop_of
from branchwright.words import clean, joined, machine_words
from models.plan import Plan


def interlocks(plan: Plan) -> Iterator[tuple[str, str]]:
    """Each device of the shop file, and in words what it makes true."""
    names = machine_words(plan)
    for rule in shop_of(plan).use.never_together:
        if rule.by == "interlock":
            most = "no two" if rule.at_most == 1 else f"no more than {rule.at_most}"
            machines = joined(names.get(name, clean(name)) for name in rule.machines)
            yield clean(rule.device) or "listed interlock", f"{most} at once of {machines}"
