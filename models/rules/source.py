"""Source: the shop inside the plan can be read, is the one that was hashed, and is canonical."""

from collections.abc import Iterator

from models.local_answers import local_answers
from models.plan import Finding, Plan
from models.plan_file import canonical_json, sha256_text
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop_checks import check_shop
from models.tables import tables_hash

SOURCE = RuleText(
    "source",
    "The shop inside the plan",
    "The plan holds the shop it is for: readable, without contradictions, in canonical order, with"
    " the hash that was taken of it. While it does not, nothing else is checked.",
    "plan file",
    "plan",
)
RULES = registry(SOURCE)
FIX = "plan the shop again: the plan and its shop do not belong together"


def unreadable(plan: Plan, why: str) -> Finding:
    """The finding for a shop that cannot be read."""
    says = f"the shop inside the plan cannot be read: {why}"
    return SOURCE.finding("source", says, edition=plan.made_by.edition, fix=FIX)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each thing that is wrong with the shop inside the plan."""
    source = reading.plan.source
    faults = []
    if sha256_text(canonical_json(source.shop)) != source.sha256:
        faults.append(("hash", "the shop inside the plan was changed after planning"))
    if canonical_json(reading.shop.canonical()) != canonical_json(source.shop):
        faults.append(("order", "the shop inside the plan is not in canonical order"))
    if reading.plan.made_by.edition != reading.shop.code.edition:
        faults.append(("edition", "the plan names another edition than its shop"))
    answers = local_answers(reading.shop)
    faults += [
        (
            f"answer {key}",
            f"local answer “{key}” is {value} in the plan, {answers.get(key)} by shop",
        )
        for key, value in reading.plan.made_by.local_answers.items()
        if answers.get(key) != value
    ]
    faults += [("shop", problem.says) for problem in check_shop(reading.shop)]
    for detail, says in faults:
        yield SOURCE.finding("source", says, edition=reading.edition, detail=detail, fix=FIX)
    made_with = reading.plan.made_by.tables_sha256
    if made_with != tables_hash():
        yield SOURCE.finding(
            "source",
            "the plan was made with other tables than those it is checked by",
            edition=reading.edition,
            severity="note",
            detail="tables",
            found=made_with,
            limit=tables_hash(),
            fix="plan the shop again to have both alike",
        )
