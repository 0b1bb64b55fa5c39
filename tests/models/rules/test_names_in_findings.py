"""Findings call machines as people do; ids stay where programs look."""

from models.rules import breaker_load, flexible_cord
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import say, shop_of

WALL = {"id": "W", "from": ["5 ft", "0 ft"], "to": ["5 ft", "8 ft"]}
TOLD = "battery charger + drill press on C2 = 11 A of 10 A (breaker) on day usual"


def too_small(data):
    """11 A of charger (3 A) and drill press (8 A) behind 10 A."""
    circuit_of(data, "C2")["breaker"]["amps"] = 10


def machine_of(data, name):
    return next(machine for machine in shop_of(data)["machines"] if machine["id"] == name)


def test_a_load_is_told_by_the_names_of_its_machines():
    [finding] = [f for f in found(breaker_load, too_small) if f.rule == "breaker-load"]
    assert (finding.where, finding.says) == ("C2", TOLD)


def test_machines_of_one_name_are_told_apart_by_their_ids():
    def edit(data):
        too_small(data)
        machine_of(data, "charger")["name"] = "drill press"

    says = found(breaker_load, edit)[0].says
    assert says.startswith("drill press (charger) + drill press (drill-press) on C2")


def test_the_place_of_a_finding_about_a_machine_is_its_id():
    def edit(data):
        say(data, partitions=[WALL])
        machine_of(data, "saw")["at"] = ["3 ft", "4 ft"]

    [finding] = found(flexible_cord, edit)
    assert (finding.where, finding.says) == (
        "saw", "the cord of cabinet saw would go through a wall to E1",
    )  # fmt: skip
