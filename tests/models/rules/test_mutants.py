"""Mutants of good plans: each is found by a check, refused by the reader, or known to be harmless.

Every field of eleven plans is broken in its way (`mutants`). In every run a fixed share of them is
checked, with `--long` all; `pytest -s` prints how many were killed by what, section by section.
"""

from collections import Counter, defaultdict
from fnmatch import fnmatch
from pathlib import Path

import pytest
from pydantic import ValidationError

from models.plan import Plan
from models.plan_file import sha256_text
from models.price_book import PriceBook
from models.rules import RULES, check_plan
from models.shop_file import read_shop
from solver.as_built import as_built_plan
from solver.changing_over import changed_over
from solver.older import Older
from solver.plan import plan_shop
from solver.purchase import purchase
from solver.solve import Control
from tests.models.rules.mutants import Mutant, mutants
from tests.plan_files import data_of, plan_data
from tests.solver.pair_shops import hand_shop
from tests.solver.switch_shops import along_wall, light, switches

ROOT = Path(__file__).resolve().parents[3]
NOT_WALKED = frozenset({"format", "findings", "source"})

ORDER = "the order of such a list says nothing"
WORDS = "words for people, which nothing can be worked out from"
MADE_BY = "how the plan came about; nothing in it depends on it"
OWNERS_WORD = "existing runs are as the owner describes them; what is in their boxes is not known"

# what may change without a finding -> why; every line must be needed
HARMLESS = {
    "*: turned around": ORDER,
    "changeovers[].alternatives: without *": "a plan need not tell all that could be",
    "changeovers[].alternatives[].says*": WORDS,
    "changeovers[].steps*": WORDS,
    "circuits[].says*": "any clear and different words will do in a directory",
    "circuits[].voltage_drop_percent: *-> None": "what was not worked out is null",
    "feeders[].id*": "a name that nothing else uses",
    "later_machines[].alternatives: without *": "a plan need not tell all that could be",
    "later_machines[].alternatives[].says*": WORDS,
    "later_machines[].why*": WORDS,
    "machines[].why_there*": WORDS,
    "made_by.assumptions*": WORDS,
    "made_by.changed: without *": MADE_BY,
    "made_by.effort*": MADE_BY,
    "made_by.gap_asked*": MADE_BY,
    "made_by.price_book.sha256*": "another book, which is not at hand to compare with",
    "made_by.seed*": MADE_BY,
    "made_by.started_from*": MADE_BY,
    "made_by.tool*": MADE_BY,
    "made_by.versions.*": MADE_BY,
}
HARMLESS_OF_FIXTURE = {
    "made_by.price_book.*": "a book that is not at hand to compare with",
    "takeoff[].item*": "the words of a book that is not at hand",
}
EMPTY = "an empty box: nothing is in it whose room or place could be counted"
HARMLESS_OF_EMPTY_BOXES = {
    "boxes[].internal_clamps*": EMPTY,
    "boxes[].yokes[].gfci*": EMPTY,
    "purchase[].pieces[].package*": "cut of another roll that has room for it",
}
# the same inside things that are there already
HARMLESS_EXISTING = {
    "boxes[].box*": OWNERS_WORD,
    "boxes[].conductors*": OWNERS_WORD,
    "boxes[].fill_in3*": OWNERS_WORD,
    "boxes[].gangs*": OWNERS_WORD,
    "boxes[].internal_clamps*": OWNERS_WORD,
    "boxes[].kind*": OWNERS_WORD,
    "boxes[].splices*": OWNERS_WORD,
    "boxes[].volume_in3*": OWNERS_WORD,
    "boxes[].yokes[].largest_awg*": OWNERS_WORD,
    "circuits[].conductor.*": OWNERS_WORD,
    "circuits[].runs*": OWNERS_WORD,
    "circuits[].voltage_drop_percent*": OWNERS_WORD,
}

# place -> the rules of which one must find what is broken there; elsewhere any rule will do
EXPECTED = {
    "boxes[].fill_in3": {"box-make-up"},
    "boxes[].volume_in3": {"box-volume", "box-fill", "box-unmeasured"},
    "boxes[].place": {"coverage"},
    "boxes[].wall": {"coverage"},
    "boxes[].splices[].pigtails": {"splices", "gfci-device"},
    "boxes[].yokes[].gfci": {"gfci-device", "takeoff"},
    "changeovers[].panel_spaces": {"changeover-spaces"},
    "changeovers[].spare_runs": {"changeover-spares", "references"},
    "changeovers[].takeoff": {"changeover-costs"},
    "later_machines[].circuit": {"later-circuits", "later-machines"},
    "later_machines[].laid": {"later-circuits", "references"},
    "later_machines[].held": {"later-circuits", "later-machines"},
    "later_machines[].panel_spaces": {"later-circuits"},
    "later_machines[].room": {"later-circuits", "raceway-ledger", "references", "later-machines"},
    "later_machines[].run": {"later-circuits", "takeoff", "totals", "purchase"},
    "later_machines[].takeoff": {"later-machines"},
    "circuits[].breaker.amps": {"conductor-protection", "breaker-load", "breaker-kind",
                                "worst-state", "existing-circuits", "receptacle-rating"},
    "circuits[].breaker.handle_tie": {"breaker-kind"},
    "circuits[].breaker.spaces": {"panel-spaces"},
    "circuits[].conductor.awg": {"run-make-up", "existing-circuits", "conductor-protection"},
    "circuits[].conductor.count": {"run-make-up"},
    "circuits[].conductor.insulation": {"run-make-up"},
    "circuits[].multiwire_with": {"multiwire", "references"},
    "circuits[].pole": {"panel-spaces", "breaker-kind", "multiwire"},
    "circuits[].outlets": {"coverage", "references"},
    "circuits[].pinned": {"wishes"},
    "circuits[].runs[].ambient_c": {"run-conditions"},
    "circuits[].runs[].conductors[].awg": {"run-make-up", "box-make-up", "raceway-ledger"},
    "circuits[].runs[].conductors[].colour": {"conductor-colour", "run-make-up", "raceway-ledger"},
    "circuits[].runs[].current_carrying": {"run-conditions"},
    "circuits[].runs[].length_ft": {"run-way"},
    "circuits[].runs[].make": {"run-make-up"},
    "circuits[].voltage_drop_percent": {"voltage-drop-claim"},
    "circuits[].worst": {"worst-state"},
    "feeders[].breaker_amps": {"leg-claims"},
    "feeders[].load_calculation": {"load-calculation"},
    "legs": {"leg-claims"},
    "machines[].amps_table": {"coverage"},
    "made_by.edition": {"source"},
    "made_by.local_answers": {"source"},
    "made_by.tables_sha256": {"source"},
    "objective": {"objective"},
    "outlets[].configuration": {"coverage", "table-values"},
    "outlets[].protected_by": {"gfci-scope", "gfci-device", "references"},
    "panels[].place": {"panel-as-given"},
    "panels[].spaces[].circuit": {"panel-spaces", "references"},
    "panels[].spaces[].leg": {"panel-spaces"},
    "purchase": {"purchase"},
    "raceways[].ledgers": {"raceway-ledger", "references"},
    "takeoff": {"takeoff", "totals", "objective"},
    "totals": {"totals", "objective"},
}  # fmt: skip


def four_box():
    return plan_data("four_box")


def garage():
    shop = read_shop(ROOT / "scenarios" / "one_bay_garage.yaml")
    control = Control(effort=1, gap=0.01, older=Older((), sha256_text("an older plan")))
    plan = plan_shop(shop, PriceBook.read(), control, explain=False).plan
    assert plan is not None
    plan = plan.model_copy(update={"purchase": purchase(plan, PriceBook.read())})
    return data_of(plan)


def pair():
    """Circuits that share a neutral, with GFCI devices, a tail of two wires, and one by itself."""
    boxes = (["duplex 5-20R", "duplex 5-20R"], ["blank"], ["duplex 5-20R"], ["single 6-20R"])
    shop = hand_shop(*boxes, two_circuits="B1", minimize="copper")
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return data_of(plan)


def tied_pair():
    """The same with two breakers and a handle tie."""
    shop = hand_shop(["blank"], ["blank"], ties="handle tie", minimize="copper")
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return data_of(plan)


def switched():
    """A row of three switches, one in a box with a receptacle and the switch that turns it off."""
    shop = along_wall(
        {"id": "G", "yokes": ["switch", "switch", "duplex 5-20R switched by G.middle"]},
        switches("S2"),
        switches("S3"),
        light("L", "G.left", "S2", "S3"),
        {"id": "R", "yokes": ["duplex 5-20R"]},
    )
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return data_of(plan)


def as_built():
    plan = as_built_plan(read_shop(ROOT / "tests" / "shops" / "as_built.yaml"), PriceBook.read())
    return data_of(plan)


def on_file(name):
    """A plan under `tests/plans`. The price book has got rows since; its own are as they were."""
    plan = plan_data(name)
    plan["made_by"]["price_book"]["sha256"] = PriceBook.read().sha256
    return plan


def changeovers():
    """Spares in a raceway, for a machine alone on its circuit and for one that is not."""
    return on_file("two_changeovers")


def after_changeovers():
    """The same with both done: a white capped in a raceway, and outlets of both voltages."""
    plan = Plan.model_validate(changeovers())
    for machine in ("M1", "M2"):
        then = changed_over(plan, machine)
        assert isinstance(then, Plan)
        plan = then
    return data_of(plan)


def later_machines():
    """A run pulled for one machine to come, spaces kept for another, none for a third; later costs
    are discounted.
    """
    return on_file("machines_to_come")


def room_kept():
    """Room for two machines to come in raceways, one of them laid larger, and a run for a third."""
    return on_file("room_kept")


def plugs():
    """Machines to come with a plug: held by a circuit, by a run that is pulled, with a space kept,
    and one that no receptacle suits.
    """
    return on_file("plugs_to_come")


# plan, what may change in it, and one mutant in how many is checked in every run
PLANS = {
    "four boxes by hand": (four_box, HARMLESS | HARMLESS_OF_FIXTURE, 7),
    "the garage": (garage, HARMLESS, 23),
    "a pair": (pair, HARMLESS, 11),
    "a tied pair": (tied_pair, HARMLESS, 5),
    "rows of switches": (switched, HARMLESS, 9),
    "a wired shed": (as_built, HARMLESS, 11),
    "two changeovers": (changeovers, HARMLESS, 18),
    "two changeovers done": (after_changeovers, HARMLESS, 14),
    "machines that may come": (later_machines, HARMLESS | HARMLESS_OF_EMPTY_BOXES, 9),
    "room kept": (room_kept, HARMLESS | HARMLESS_OF_EMPTY_BOXES, 9),
    "plugs that may come": (plugs, HARMLESS, 9),
}


class Walk:
    """What became of the mutants of a plan."""

    def __init__(self, data, harmless, share=1):
        self.data, self.harmless = data, harmless
        self.known = {finding.model_dump_json() for finding in self._findings(data)}
        self.counts: defaultdict[str, Counter[str]] = defaultdict(Counter)
        self.missed: list[str] = []
        self.wrongly: list[str] = []
        self.used: set[str] = set()
        for number, mutant in enumerate(mutants(data, frozenset(data) - NOT_WALKED)):
            if number % share == share // 2:
                self.counts[str(mutant.path[0])][self._fate(mutant)] += 1

    def _findings(self, data):
        return [f for f in check_plan(Plan.model_validate(data)) if f.severity != "not-checked"]

    def _fate(self, mutant: Mutant) -> str:
        """What finds a mutant; remembers those that nothing finds and nobody expects."""
        try:
            found = self._findings(mutant.of(self.data))
        except ValidationError:
            return "reader"
        rules = {f.rule for f in found if f.model_dump_json() not in self.known}
        existing = _is_existing(self.data, mutant)
        if not rules:
            harmless = [*self.harmless, *(HARMLESS_EXISTING if existing else ())]
            lines = [line for line in harmless if _means(line, mutant)]
            self.used.update(lines)
            self.missed += [] if lines else [str(mutant)]
            return "harmless" if lines else "missed"
        wanted = max((p for p in EXPECTED if mutant.pattern.startswith(p)), key=len, default=None)
        if (
            wanted
            and not existing
            and not rules & (EXPECTED[wanted] | {"references", "table-values"})
        ):
            self.wrongly.append(f"{mutant}: found by {', '.join(sorted(rules))}")
        return "check"

    def report(self, name):
        """A line for each section, and how many of those that are not harmless were killed."""
        total: Counter[str] = Counter()
        print(f"\n{name}")
        for section, counts in sorted(self.counts.items()):
            total += counts
            print(f"  {section:12} " + ", ".join(f"{n} {fate}" for fate, n in counts.items()))
        killed, harmful = total["check"] + total["reader"], total.total() - total["harmless"]
        print(f"  {killed} of {harmful} killed, {total['harmless']} harmless")


def _is_existing(data, mutant: Mutant) -> bool:
    """Whether a mutant is of something that is there already."""
    for step in mutant.path:
        if isinstance(data, dict) and data.get("life") == "existing":
            return True
        data = data[step]
    return False


def _means(line: str, mutant: Mutant) -> bool:
    """Whether a line of the harmless means a mutant: by its place, or by place and change."""
    literal = line.replace("[", "[[]")
    told = f"{mutant.pattern}: {mutant.how}" if ": " in line else mutant.pattern
    return fnmatch(told, literal)


def test_the_rules_expected_are_there():
    assert set().union(*EXPECTED.values()) <= RULES.keys()


@pytest.mark.parametrize("name", PLANS)
def test_mutants_are_found(name):
    make, harmless, share = PLANS[name]
    walk = Walk(make(), harmless, share)
    walk.report(name)
    assert walk.missed == []
    assert walk.wrongly == []
    assert sum(counts.total() for counts in walk.counts.values()) > 200


@pytest.mark.long
def test_every_mutant_is_found_and_no_line_of_the_harmless_is_idle():
    used: set[str] = set()
    for name, (make, harmless, _) in PLANS.items():
        walk = Walk(make(), harmless)
        walk.report(name)
        assert walk.missed == []
        assert walk.wrongly == []
        used |= walk.used
    assert used == {
        *HARMLESS, *HARMLESS_OF_FIXTURE, *HARMLESS_OF_EMPTY_BOXES, *HARMLESS_EXISTING
    }  # fmt: skip
