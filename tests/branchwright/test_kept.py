"""What takes long is answered once for a plan, for the page and for the terminal after it."""

from io import StringIO
from pathlib import Path

from rich.console import Console

from branchwright.kept import kept
from branchwright.page import page_html
from branchwright.sheets import binding
from branchwright.terminal import plan_report
from models.answers.binding import Bindings
from models.answers.fewer import least_circuits
from models.plan_file import read_plan

ROOT = Path(__file__).resolve().parents[2]


def test_page_and_terminal_ask_once_what_binds_and_why_not_one_less(monkeypatch):
    plan = read_plan(ROOT / "tests" / "plans" / "one_bay_garage")
    asked = {"of": 0, "least_circuits": 0}

    def counted(name, inner):
        def asking(*arguments):
            asked[name] += 1
            return inner(*arguments)

        return asking

    monkeypatch.setattr(Bindings, "of", counted("of", Bindings.of))
    monkeypatch.setattr(binding, "least_circuits", counted("least_circuits", least_circuits))
    page = page_html(plan, "0" * 64)
    text = StringIO()
    plan_report(Console(file=text, width=200), plan, Path("garage.plan"))
    assert asked == {"of": len(plan.circuits), "least_circuits": 1}
    words = "no two of these 5 can share one"
    assert words in page
    assert words in text.getvalue()


def test_an_answer_belongs_to_the_very_plan_it_was_asked_of(four_box):
    answer = kept(lambda plan: [circuit.id for circuit in plan.circuits])
    other = four_box.model_copy(update={"circuits": ()})
    assert answer(four_box) is answer(four_box)
    assert answer(other) == []
    assert answer(four_box) == [circuit.id for circuit in four_box.circuits]
