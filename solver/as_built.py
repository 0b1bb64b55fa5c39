"""The plan of a shop where everything is wired already: nothing is chosen, all is written down."""

from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop import Shop
from solver.assemble import Assembly, objective_of
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.placing import place_all
from solver.points import Points
from solver.routes import Ways
from solver.selection import Selected
from solver.solve import Control


def as_built_plan(shop: Shop, book: PriceBook) -> Plan:
    """The existing circuits as a plan, checked; the shop must be as built (`solver.scope`)."""
    circuits = Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, book))
    control = Control()
    placed = place_all(shop, circuits.points, circuits.loads, [], control)
    assert placed is not None, "there is nothing to place"
    nothing = Selected((), {}, (), 0, 0, optimal=True)
    plan = Assembly(circuits, nothing, [], placed).plan(control, objective_of(shop, nothing, None))
    return plan.model_copy(update={"findings": check_plan(plan)})
