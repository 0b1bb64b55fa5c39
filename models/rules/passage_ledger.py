"""Passages of a plan: every one of the shop, with the cables that go through it counted again.

Percent of the cables that a passage takes.
"""

from collections import Counter
from collections.abc import Iterator
from math import dist

from models.formulas.ampacity import bundling_factor
from models.plan import Finding, PassagePlan
from models.rules.bundled_cables import FEW_CABLES, cables_through, passage_place
from models.rules.reading import Reading
from models.rules.rule import SAME_FT, SAME_PERCENT, RuleText, registry
from models.shop import Passage

LEDGER = RuleText(
    "passage-ledger",
    "Ledger of a passage",
    "The plan has every passage of the shop; its ledger lists the cables that go through it, with"
    " their share of what it takes, their current-carrying count and adjustment.",
    "plan file; NEC 334.80, Table 310.15(C)(1) (2017: 310.15(B)(3)(a))",
    "plan",
)
RULES = registry(LEDGER)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each passage missing, added, moved, or with a wrong ledger."""
    planned = {passage.id: passage for passage in reading.plan.passages or ()}
    given = {passage.id: passage for passage in reading.shop.routes.passages}
    faults = [
        (name, f"passage {name} is not both in the shop and in the plan")
        for name in sorted(planned.keys() ^ given.keys())
    ]
    if len(planned) != len(reading.plan.passages or ()):
        faults.append(("passages", "a passage is in the plan twice"))
    for name in sorted(planned.keys() & given.keys()):
        faults += [(name, says) for says in _faults(reading, planned[name], given[name])]
    for where, says in faults:
        fix = f"write the ledger of {where} again"
        yield LEDGER.finding(where, says, edition=reading.edition, detail=says, fix=fix)


def _faults(reading: Reading, passage: PassagePlan, given: Passage) -> Iterator[str]:
    """Where a passage does not agree with the shop and the runs."""
    name, place = passage.id, passage_place(reading, given)
    if dist(passage.place, place) > SAME_FT:
        yield f"passage {name} is drawn at {passage.place}, the shop says {place}"
    if len({ledger.stage for ledger in passage.ledgers}) != len(passage.ledgers):
        yield f"passage {name} has two ledgers of one stage"
    if not passage.ledgers:
        yield f"passage {name} has no ledger"
        return
    ledger, through = passage.ledgers[0], cables_through(reading, given)
    runs = Counter((cable.run.id, cable.circuit.id) for cable in through)
    if runs != Counter((content.run, content.circuit) for content in ledger.contents):
        yield f"the ledger of {name} does not list the runs {sorted(r for r, _ in runs)}"
    inside = Counter(repr(c) for cable in through for c in cable.run.conductors)
    if inside != Counter(repr(c) for content in ledger.contents for c in content.conductors):
        yield f"the ledger of {name} does not list the conductors of its cables"
    count = sum(cable.carrying for cable in through)
    for what, found, right, tolerance in (
        ("share [%]", ledger.fill_percent, 100 * len(through) / given.takes, 0.006),
        ("limit [%]", ledger.limit_percent, 100.0, SAME_PERCENT),
        ("current-carrying count", ledger.current_carrying, count, 0),
        ("adjustment", ledger.adjustment, _adjustment(len(through), count), 1e-9),
    ):
        if abs(found - right) > tolerance:
            yield f"{what} of {name} is {right:g}, its ledger says {found:g}"
    if ledger.room_left:
        yield f"the ledger of {name} tells room by sizes, and a passage takes any cable"


def _adjustment(cables: int, counted: int) -> float:
    """What bundling leaves of the ampacity; up to two cables lose nothing."""
    return bundling_factor(counted) if cables > FEW_CABLES else 1.0
