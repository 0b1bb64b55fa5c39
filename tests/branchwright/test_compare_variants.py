"""`compare --with`: variants of a shop or of a plan's shop, what is decided later, days that bind.

The shop is the four-box shed with a second receptacle, whose drill may go to 240 V, and a helper on
Saturdays. Costs of a day to come are those of the invented book, 16 USD for a two-pole breaker.
"""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from branchwright.compare_planning import Planner, Wanted
from models.compare import Named
from models.plan_file import read_plan
from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import read_shop

MORE_BOX = "  - {id: N2, wall: north, x: 7 ft, height: 4 ft, yokes: [duplex 5-20R]}\n"
DRILL = """  - id: bench-drill
    volts: 120 V
    reconnects_to: 240 V
    marked: 10 A
    plug: 5-15P
    plugs_into: N2.top
    at: [7 ft, 6 ft]
"""
SATURDAY = "    - {id: saturday, people: 2, binds: no}\n"
CHANGE = """  changeovers:
    - {machine: bench-drill, volts: 240 V, plug: 6-15P, likelihood: 50 %, within: 3 years}
"""


def run(*arguments, command="compare"):
    return CliRunner().invoke(
        cli, [command, *map(str, arguments)], terminal_width=100, env={"COLUMNS": "100"}
    )


def one_line(text):
    return " ".join(text.split())


@pytest.fixture(scope="module")
def folder(request, tmp_path_factory):
    """The shop as a file, and its plan."""
    text = (request.config.rootpath / "tests" / "shops" / "four_box.yaml").read_text("utf-8")
    for before, more in (
        ("\nmachines:\n", MORE_BOX),
        ("\nuse:\n", DRILL),
        ("\nlater:\n", SATURDAY),
        ("\ncode:\n", CHANGE),
    ):
        assert text.count(before) == 1
        text = text.replace(before, f"{more}{before}")
    made = tmp_path_factory.mktemp("variants")
    (made / "shed.yaml").write_text(text.replace("spaces: 6", "spaces: 12"), "utf-8")
    done = run(made / "shed.yaml", "-o", made / "shed.plan", "--effort", "1", command="plan")
    assert done.exit_code == 0, done.output
    return made


@pytest.fixture
def wishes(folder):
    return [folder / "shed.yaml", "--with", "later.prepare=nothing", "--with",
            "later.prepare=everything"]  # fmt: skip


def test_what_is_decided_now_is_no_dearer_than_nothing_or_everything(wishes):
    found = json.loads(run(*wishes, "--json").stdout)
    chosen, nothing, everything = (
        plan["material_usd"] + plan["days_to_come_usd"] for plan in found["plans"]
    )
    assert chosen <= nothing
    assert chosen <= everything
    said = [plan["days_to_come"][0]["chosen"] for plan in found["plans"]]
    assert said[1] == "nothing now"
    assert said[2] != "nothing now"
    assert not any(plan["findings"]["violations"] for plan in found["plans"])
    more = found["against_first"][0]
    assert more["more_usd"] + more["more_later_usd"] == pytest.approx(nothing - chosen)


def test_today_and_the_days_to_come_stand_apart_and_together(wishes, tmp_path):
    page = tmp_path / "side.html"
    told = one_line(run(*wishes, "--page", page).stdout)
    assert "Today and the days to come" in told
    assert "bench-drill: nothing now" in told
    assert "Against A, the shop as it is, days to come included." in page.read_text("utf-8")


def test_variants_of_a_plan_start_from_what_is_in_hand(folder):
    """The plan is A as it is; its shop is not planned again."""
    done = run(folder / "shed.plan", "--with", "pairs: code.multiwire=yes", "--json")
    assert done.exit_code == 0, done.output
    found = json.loads(done.stdout)
    assert [plan["name"] for plan in found["plans"]] == ["shed", "pairs"]
    assert found["plans"][0]["file"] == str(folder / "shed.plan")
    assert "planning shed" not in done.stderr
    mine = read_plan(folder / "shed.plan").totals.material_cost_usd
    assert found["plans"][0]["material_usd"] == mine


def test_the_days_that_bind(folder):
    """With a second person on Saturday the circuits carry more at once, never less."""
    done = run(folder / "shed.plan", "--with", "days=usual + saturday", "--json")
    assert done.exit_code == 0, done.output
    found = json.loads(done.stdout)
    assert {(one["path"], one["after"]) for one in found["against_first"][0]["shop"]} == {
        ("use.days[saturday].binds", None)
    }
    assert found["against_first"][0]["more_usd"] >= 0


def test_what_is_carried_along_is_told(request):
    """Before any work: the second variant is misspelled, so nothing is planned."""
    shop = request.config.rootpath / "scenarios" / "heron_slip_built.yaml"
    gone = "routes.junction_boxes[J3]="
    done = run(shop, "--with", gone, "--with", "days=nobody")
    assert done.exit_code == 2
    assert f"{gone}: raceway R-S4 goes on to J1, its way found anew" in done.stderr
    assert "planning" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["SHOP", "--with", "alone: days=usul"], "closest: usual; write `days=usual`"),
        (["SHOP", "--with", "days=usual"], "this changes nothing"),
        (["SHOP", "--with", "days="], "there are saturday, usual"),
        (["SHOP", "--with", "later.prepare=all"], "Input should be 'least cost', 'nothing'"),
        (["SHOP", "--with", "boxes[N2]="], "machines[bench-drill].plugs_into: "),
        (["SHOP", "PLAN", "--with", "days=usual"], "--with goes with one SHOP or PLAN"),
        (["SHOP", "--with", "days=usual", "--prices", "x.csv"], "a SHOP names its book"),
        (["PLAN", "--with", "name=x", "--prices", "no.csv"], "no.csv: cannot be read"),
        (["OLD", "--with", "name=x"], "was made with other prices"),
    ],
)
def test_what_is_refused(request, folder, arguments, says):
    old = request.config.rootpath / "tests" / "plans" / "four_box"
    names = {"SHOP": folder / "shed.yaml", "PLAN": folder / "shed.plan", "OLD": old}
    done = run(*(names.get(name, name) for name in arguments))
    assert done.exit_code == 2
    assert says in one_line(done.stderr)


# What is too dear is planned again


class Recorded(Planner):
    """A planner that answers with what it was given, and remembers from where it began."""

    def __init__(self, answer):
        super().__init__(1, as_json=False)
        self.answer, self.began = answer, []

    def made(self, wanted, start=None):
        self.began.append((wanted.name, start))
        return self.answer


def at(plan, value, name):
    goal = plan.objective.model_copy(update={"value": value})
    return Named(name, None, plan.model_copy(update={"objective": goal}))


@pytest.fixture
def three(folder):
    """The shop, one that narrows it, and one that has nothing to do with it."""
    shop, book = read_shop(folder / "shed.yaml"), PriceBook.read()
    others = [("later.prepare", "nothing")], [("later.spare_spaces", 2)]
    shops: list[Shop] = [shop, *(changed(shop, list(one)) for one in others)]
    return [Wanted(name, one, book) for name, one in zip("ABC", shops, strict=True)]


@pytest.mark.parametrize(
    ("values", "better", "ends", "begins"),
    [
        ((100, 90, 80), 85, 85, 1),  # B's plan is one for A too; C's is not
        ((100, 90, 80), 101, 100, 1),
        ((100, 100, 80), 85, 100, 0),
        ((100, 110, 80), 85, 100, 0),
    ],
)
def test_a_plan_dearer_than_one_that_its_shop_allows_too_is_made_again(
    folder, three, values, better, ends, begins
):
    plan = read_plan(folder / "shed.plan")
    found = [at(plan, value, one.name) for value, one in zip(values, three, strict=True)]
    planner = Recorded(at(plan, better, "A"))
    planner.again(found, three, held=False)
    assert found[0].plan.objective.value == ends
    assert [one.plan.objective.value for one in found[1:]] == list(values[1:])
    assert planner.began == [("A", found[1].plan)] * begins


def test_a_plan_in_hand_stays_and_is_told_about(folder, three, capsys):
    plan = read_plan(Path(folder / "shed.plan"))
    found = [at(plan, value, one.name) for value, one in zip((9, 8, 7), three, strict=True)]
    planner = Recorded(None)
    planner.again(found, three, held=True)
    assert (found[0].plan.objective.value, planner.began) == (9, [])
    assert "plan that shop again with more effort" in capsys.readouterr().err


# A row at another spacing


@pytest.fixture
def row(folder, tmp_path):
    """The shed with a row of boxes along its south wall, at 2, 5 and 8 ft."""
    text = (folder / "shed.yaml").read_text("utf-8")
    laid = "rows:\n  - {id: R, wall: south, from: 2 ft, to: 8 ft, every: 3 ft, height: 4 ft,\n"
    laid += "     yokes: [duplex 5-20R]}\n"
    file = tmp_path / "row.yaml"
    file.write_text(text.replace("\nmachines:\n", f"\n{laid}machines:\n"), "utf-8")
    return file


def test_a_row_at_another_spacing_is_planned(row):
    """Boxes at 2, 4, 6 and 8 ft: one more than before, each a cover and a receptacle at least."""
    done = run(row, "--with", "spacing.R=2 ft", "--effort", "1", "--json")
    assert done.exit_code == 0, done.output
    found = json.loads(done.stdout)
    receptacles = next(line for line in found["takeoff"] if line["key"] == "duplex 5-20R")
    before, after = receptacles["quantities"]
    assert after == before + 1
    assert found["against_first"][0]["more_usd"] > 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("spacing.R=2 feets", "unit 'feets'"),
        ("spacing.Q=2 ft", "no row of boxes is called 'Q'"),
        ("spacing.R=", "write it like"),
        ("spacing.R=2 ft; boxes[R2].height=3 ft", "there is no boxes 'R2'"),
    ],
)
def test_a_spacing_that_cannot_be_is_told(row, text, says):
    done = run(row, "--with", text)
    assert done.exit_code == 2
    assert says in one_line(done.stderr)


def test_a_plan_knows_no_rows(folder):
    done = run(folder / "shed.plan", "--with", "spacing.R=2 ft")
    assert done.exit_code == 2
    assert "name the shop file" in one_line(done.stderr)
