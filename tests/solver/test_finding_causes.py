"""Causes that are made of a plan's findings, for the four-box shed."""

from models.rules.legs import LEGS
from models.shop import Shop
from solver.finding_causes import finding_causes
from tests.models.rules.four_box import PLAN


def test_the_machines_that_a_finding_names_and_no_others():
    """A machine called saw is not in "cabinet saw"; ids go into the shop file, names are told."""
    shop = Shop.model_validate(PLAN["source"]["shop"])
    charger, press, saw = shop.machines
    heavy = charger.model_copy(update={"name": "saw", "marked_amps": 30.0, "always_on": False})
    shop = shop.model_copy(update={"machines": (heavy, press, saw)})
    says = "cabinet saw + drill press on leg A of P = 20 A of 10 A (bus) on day usual"
    finding = LEGS.finding("P", says, edition=2023, found=20.0, limit=10.0, unit="A")
    [cause] = finding_causes(shop, [finding])
    [remedy] = cause.remedies
    assert remedy.says == (
        "never run cabinet saw and drill press together (a promise among the people)"
    )
    assert remedy.changes == (("use.never_together[+]", {"machines": ["saw", "drill-press"]}),)
