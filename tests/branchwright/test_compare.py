"""The command `compare`: plans, shops and variants side by side, for people and for programs."""

import json
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from branchwright.cautions import CAUTIONS
from branchwright.cli import cli
from branchwright.compare_page import compare_page
from branchwright.variants import VariantError, variant_of
from models.compare import Named, compared
from models.plan_file import read_plan
from models.shop_file import read_shop
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.test_page import read
from tests.branchwright.test_wording import PROMISES

LIMIT_CPU_SECONDS = 10.0  # far above what it takes: a guard against something that grows


@pytest.fixture
def plans(request):
    """Two folders of plans."""
    folder = request.config.rootpath / "tests" / "plans"
    return str(folder / "four_box"), str(folder / "one_bay_garage")


@pytest.fixture
def shop(request):
    return str(request.config.rootpath / "tests" / "shops" / "four_box.yaml")


def run(*arguments, command="compare", width=100):
    return CliRunner().invoke(
        cli, [command, *map(str, arguments)], terminal_width=width, env={"COLUMNS": str(width)}
    )


def one_line(text):
    return " ".join(text.split())


def test_two_plans_in_words(plans):
    """The four boxes cost 236.20 USD and hold 3.05 lb of copper, as on paper."""
    began = time.process_time()
    done = run(*plans)
    assert time.process_time() - began < LIMIT_CPU_SECONDS
    assert done.exit_code == 0
    text = one_line(done.stdout)
    assert re.search(r"A four_box \$236\.20 3\.05 lb", text)
    assert "From A to B" in text
    assert "`branchwright inspect` checks again" in text
    assert not PROMISES.search(text)


def test_what_one_shop_has_alone_is_named_and_no_key_is_cut(plans):
    """Things are named by their paths; long values end between their parts."""
    said = one_line(run(*plans).stdout)
    told = dict(re.findall(r"In the shop of (A|B) only: (.*?)\.(?= [A-Z])", said))
    first, other = ({box.id for box in read_plan(Path(one)).boxes} for one in plans)
    for mark, alone in (("A", first - other), ("B", other - first)):
        assert set(re.findall(r"boxes\[(\w+)\]", told[mark])) <= alone
        assert "boxes[" in told[mark]
        assert "{" not in told[mark]
    assert set(re.findall(r"(..)…", said)) <= {", "}


@pytest.mark.parametrize("width", [60, 80, 160])
def test_no_line_is_wider_than_the_terminal(plans, width):
    done = run(*plans, width=width)
    assert max(map(len, done.stdout.splitlines())) <= width


def test_the_answer_is_as_its_schema_says(plans):
    schema = json.loads(run("compare", command="schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    done = run(*plans, "--json")
    jsonschema.validate(json.loads(done.stdout), schema)


def test_the_page_holds_both_floor_plans_and_every_caution(plans, tmp_path):
    page = tmp_path / "side.html"
    done = run(*plans, "--page", page)
    assert done.exit_code == 0
    html = page.read_text("utf-8")
    assert html.count("<figcaption>") == html.count("<svg") == 2
    for caution in CAUTIONS:
        assert caution.replace("'", "&#x27;") in html
    assert not re.search(r"<script|https?://(?!www\.w3\.org)", html)


def test_a_plan_with_a_violation_is_not_built(plans, tmp_path):
    data = json.loads((Path(plans[0]) / "plan.json").read_text("utf-8"))
    note = {**data["findings"][0], "severity": "violation"} if data["findings"] else None
    data["findings"] = [note or {
        "key": "x", "rule": "x", "severity": "violation", "where": "C1", "says": "Too much.",
        "source": "x", "edition": 2023, "basis": "code"}]  # fmt: skip
    (tmp_path / "plan.json").write_text(json.dumps(data))
    done = run(plans[0], tmp_path, "--page", tmp_path / "p.html")
    assert done.exit_code == 1
    assert "DO NOT BUILD" in (tmp_path / "p.html").read_text("utf-8")
    assert re.search(r"B has a violation: .+\. DO NOT BUILD\.", one_line(done.stdout))


def test_variants_are_planned_and_ranked(shop):
    """Without its light the shop saves 14-2, a box, a switch and a breaker."""
    done = run(
        shop, "--with", "boxes[L1]=; boxes[S1]=", "--with", "code.voltage_drop_percent=2", "--json"
    )
    assert done.exit_code == 0, done.output
    found = json.loads(done.stdout)
    assert [one["name"] for one in found["plans"]] == [
        "four_box", "boxes[L1]=; boxes[S1]=", "code.voltage_drop_percent=2",
    ]  # fmt: skip
    saved, same = (one["more_usd"] for one in found["against_first"])
    assert saved < 0
    assert same == 0.0
    assert {one["path"] for one in found["against_first"][0]["shop"]} == {"boxes[L1]", "boxes[S1]"}
    text = one_line(run(shop, "--with", "code.voltage_drop_percent=2",
                        "--with", "boxes[L1]=; boxes[S1]=").stdout)  # fmt: skip
    assert re.search(r"What mattered most .*1 C boxes\[L1\]=; boxes\[S1\]= .*2 B code", text)


def test_a_variant_without_a_plan_is_told(shop):
    """A saw of 12 A does not run from a feeder of 10 A."""
    done = run(shop, "--with", "supply.panels[P].feeder.breaker=10 A", "--json")
    assert done.exit_code == 1
    found = json.loads(done.stdout)
    broken = [one for one in found["plans"] if one["findings"]["violations"]]
    assert found["without_plan"] or broken


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("code.multiwir=yes", "closest: multiwire"),
        ("boxes[N9]=", "there is no boxes 'N9': closest: N1"),
        ("code.edition=2019", "Input should be 2017, 2020 or 2023"),
        ("supply.panels[P].bus=12 ft", "unit 'ft' is not one of A"),
        ("code.multiwire", "is no KEY=VALUE"),
        ("code.edition=2023", "this changes nothing"),
        ("boxes[N1]=", "then "),
        ("name={", "is no value of a shop file"),
        pytest.param("name=" + "{a: " * 2000, "is no value of a shop file", id="deep"),
        ("prices.book=other.csv", "variants share one price book"),
    ],
)
def test_variants_that_are_refused(shop, text, says):
    done = run(shop, "--with", text)
    assert done.exit_code == 2
    assert says in one_line(done.stderr)
    with pytest.raises(VariantError):
        variant_of(text, read_shop(Path(shop)))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["PLAN"], "name two plans or shops at least"),
        (["PLAN", "nowhere"], "no plan here"),
        (["PLAN", "PLAN", "--with", "code.edition=2017"], "--with goes with one SHOP or PLAN"),
        (["PLAN", "PLAN", "--page", "side.txt"], "ends in .html"),
        (["PLAN", "PLAN", "--page", "no/such/side.html"], "cannot be written"),
    ],
)
def test_misuse(plans, arguments, says):
    done = run(*(plans[0] if a == "PLAN" else a for a in arguments))
    assert done.exit_code == 2
    assert says in one_line(done.stderr)


def test_ctrl_c_leaves_without_a_page(request, tmp_path):
    """What is planned so far is no fair comparison: nothing is told; exit 130."""
    root, page = request.config.rootpath, tmp_path / "side.html"
    shop = root / "scenarios" / "heron_slip_built.yaml"
    command = [sys.executable, "-m", "branchwright", "compare", str(shop), "--effort", "1000"]
    with subprocess.Popen(
        [*command, "--with", "code.multiwire=yes", "--page", str(page)],
        cwd=root, stderr=subprocess.PIPE, stdout=subprocess.PIPE,
    ) as process:  # fmt: skip
        assert process.stderr is not None
        for line in process.stderr:
            if b"trying out circuits" in line:
                break
        process.send_signal(signal.SIGINT)
        out, err = process.communicate()
    assert (process.returncode, out) == (130, b"")
    assert b"Interrupted: nothing was compared." in err
    assert not page.exists()


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_no_page(name, renamed, four_box):
    named = [Named(name, None, renamed(name)), Named("plain", None, four_box)]
    page = compare_page(compared(named), named, ranked=True)
    reader = read(page)
    assert "script" not in reader.tags
    assert "\x1b" not in page
    assert "\u202e" not in page


def test_a_shop_without_a_plan_is_no_base_to_rank_by(shop, tmp_path):
    """Two spaces hold no plan; the variant has the six it needs."""
    text = Path(shop).read_text("utf-8")
    weak = re.sub(r"(spaces: )\d+", r"\g<1>2", text)
    assert weak != text
    (tmp_path / "weak.yaml").write_text(weak)
    done = run(tmp_path / "weak.yaml", "--with", "supply.panels[P].spaces=6")
    told = one_line(done.stdout)
    assert done.exit_code == 1
    assert "weak has no plan: " in told
    assert "What mattered most" not in told
