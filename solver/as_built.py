"""The plan of a shop where everything is wired already: nothing is chosen, all is written down."""

from models.plan import Plan, Source
from models.plan_file import canonical_json, sha256_text
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop import Shop
from solver.assemble import Assembly, objective_of
from solver.circuit import Circuits
from solver.placing import place_all
from solver.selection import Selected
from solver.solve import Control


def as_built_plan(shop: Shop, book: PriceBook) -> Plan:
    """The existing circuits as a plan, checked; the shop must be as built (`solver.scope`).

    Those that may change stay too: nothing asks them to.
    """
    given, shop = shop, _all_staying(shop)
    circuits = Circuits.of(shop, book)
    control = Control()
    placed = place_all(shop, circuits.points, circuits.loads, [], control)
    assert placed is not None, "there is nothing to place"
    nothing = Selected((), {}, (), 0, 0, optimal=True)
    plan = Assembly(circuits, nothing, [], placed).plan(control, objective_of(shop, nothing, None))
    facts = given.canonical()
    source = Source(shop=facts, sha256=sha256_text(canonical_json(facts)))
    plan = plan.model_copy(update={"source": source})
    return plan.model_copy(update={"findings": check_plan(plan)})


def _all_staying(shop: Shop) -> Shop:
    """The shop with no circuit that may change."""
    held = tuple(circuit.model_copy(update={"may_change": False}) for circuit in shop.existing)
    return shop.model_copy(update={"existing": held})
