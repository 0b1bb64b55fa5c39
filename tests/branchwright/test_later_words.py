"""What people read of machines that may come with a plug."""

from branchwright.later_words import kept_words, later_sentences, likely
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.later_machines import later_machine_table
from tests.plan_files import plan_on_file


def test_a_sentence_says_where_each_is_plugged_in_and_what_then_runs():
    """13 A that are always on and 5 A more are 18 A; 20 A is the breaker."""
    planer, saw, gun, _ = later_sentences(plan_on_file("plugs_to_come"))
    assert "on the day N1.right leaves its circuit, and in its place comes a single 5-15R" in planer
    assert "on the day a single 5-20R in a box of its own beside N1" in saw
    assert "plugged in at N1.left.bottom on C1 as it is, $0.00 now, $0.00 on the day;" in gun
    assert "C1 then carries M + heat gun = 18 A of 20 A" in gun


def test_a_sentence_says_why_nothing_suits_and_what_to_do():
    *_, last = later_sentences(plan_on_file("plugs_to_come"))
    assert "no receptacle that its plug 6-20P fits is within its cord: add one" in last


def test_table_and_floor_plan_show_where_it_is_plugged_in():
    plan = plan_on_file("plugs_to_come")
    rows = {row[0]: row for row in later_machine_table(plan).rows}
    assert rows["heat gun"][1] == "N1.left.bottom"
    assert rows["heat gun"][3] == "C1"
    assert rows["planer"][1] == "N1.right"
    assert ">later: heat gun<" in floor_plan(plan).svg()


def test_one_space_is_a_space_and_what_hardly_comes_is_not_never():
    one, *_ = plan_on_file("plugs_to_come").later_machines or ()
    said = [likely(one.model_copy(update={"likelihood": share})) for share in (0, 0.004, 0.996, 1)]
    assert said == [
        " (0 % likely)",
        " (under 1 % likely)",
        " (over 99 % likely)",
        " (100 % likely)",
    ]
    alone = one.model_copy(update={"panel": "P", "panel_spaces": (11,)})
    assert kept_words(alone) == " (space 11 of P)"
