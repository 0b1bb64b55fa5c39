"""Whether one shop allows every plan of another: the same but for a choice that it leaves open.

Known are: what is prepared for later, the days that bind, multiwire circuits, tandem breakers. Of
two such shops the wider one's best plan is no dearer, whatever a search of limited effort comes to.
"""

import re
from collections.abc import Iterable
from typing import Any

from models.shop import Shop

OPEN_PREPARE = "least cost"
_PERMITS = "multiwire", "tandems"
_CHOICES = re.compile(r"later\.prepare|use\.days\[[^\]]+\]\.binds|code\.(?:multiwire|tandems)")


def are_choices(paths: Iterable[str]) -> bool:
    """Whether two shops that differ in these paths differ in such choices alone.

    >>> are_choices(["use.days[class].binds", "later.prepare"]), are_choices(["code.edition"])
    (True, False)
    """
    return all(_CHOICES.fullmatch(path) for path in paths)


def allows_every_plan_of(wider: Shop, narrower: Shop) -> bool:
    """Whether every plan of the narrower shop is one of the wider, and they are not the same."""
    if wider == narrower:
        return False
    mine, its = wider.later.prepare, narrower.later.prepare
    if mine not in (OPEN_PREPARE, its):
        return False
    if not _binding(wider) <= _binding(narrower):
        return False
    for permit in _PERMITS:
        mine, its = getattr(wider.code, permit), getattr(narrower.code, permit)
        if mine is not True and mine != its:
            return False
    return _rest(wider) == _rest(narrower)


def _binding(shop: Shop) -> set[str]:
    return {day.id for day in shop.use.days if day.binds}


def _rest(shop: Shop) -> dict[str, Any]:
    """The shop without these choices."""
    days = tuple(day.model_copy(update={"binds": True}) for day in shop.use.days)
    return shop.model_copy(
        update={
            "later": shop.later.model_copy(update={"prepare": OPEN_PREPARE}),
            "use": shop.use.model_copy(update={"days": days}),
            "code": shop.code.model_copy(update=dict.fromkeys(_PERMITS)),
        }
    ).canonical()
