"""Full sets of remedies found in rounds, with a planner made up for the test; no solver runs."""

from solver.causes import Cause, Remedy
from solver.remedies import Trial, try_remedies

SPARE = Remedy("keep none spare", (("later.spare_spaces", None),), gives_up=True)
PANEL = Remedy("a panel with 20 spaces", (("supply.panels[P].spaces", 20),))
BUS = Remedy("a panel with a bus of 200 A", (("supply.panels[P].bus", "200 A"),))
NOTE = Remedy("a note", (("note", "x"),))
NAME = Remedy("a name", (("name", "y"),))
OTHER_NAME = Remedy("another name", (("name", "z"),))


def cause(reason, *remedies, says=""):
    return Cause(reason, "P", says or reason, remedies)


def in_the_way(*causes):
    return Trial(None, causes[0].says, causes)


def test_what_makes_it_less_is_kept_and_the_rest_comes_on_top(garage):
    """324 A, with a note 224 A, and then a bus of 200 A carries it: neither alone does."""
    much = cause("load", NOTE, says="324 A")
    less = cause("load", BUS, says="224 A")

    def plans(shop):
        if shop.note != "x":
            return in_the_way(much)
        return Trial(500.0) if shop.panel().bus_amps == 200 else in_the_way(less)

    causes, least = try_remedies(garage, [much], plans)
    assert least is not None
    assert least.says == ("a note", "a panel with a bus of 200 A")
    assert least.each_needed
    assert [c.says for c in causes] == ["324 A"]
    assert [r.works for r in causes[0].remedies] == [True, True]


def test_what_leads_nowhere_is_taken_back(garage):
    """One name ends its cause and brings one that nothing mends; the other name leads to a plan."""
    first = cause("name", NAME, OTHER_NAME)

    def plans(shop):
        if shop.name == "y":
            return in_the_way(cause("dead end"))
        return Trial(500.0) if shop.name == "z" else in_the_way(first)

    causes, least = try_remedies(garage, [first], plans)
    assert least is not None
    assert least.says == ("another name",)
    assert [c.reason for c in causes] == ["name"]
    assert {r.says: (r.works, r.leaves) for r in causes[0].remedies} == {
        "another name": (True, ""),
        "a name": (False, "dead end"),
    }


def test_without_what_one_remedy_brings_another_is_less(garage):
    """A name asks for spaces as well, the other one for nothing."""
    first = cause("name", NAME, OTHER_NAME)

    def plans(shop):
        if shop.name == "z" or (shop.name == "y" and shop.panel().spaces == 20):
            return Trial(500.0)
        return in_the_way(cause("spaces", PANEL) if shop.name == "y" else first)

    causes, least = try_remedies(garage, [first], plans)
    assert least is not None
    assert least.says == ("another name",)
    assert [c.reason for c in causes] == ["name"]


def test_what_proves_needless_goes_and_the_others_are_tried_without_it(garage):
    """Spaces look short until a plan is found that does not need them."""
    tried = []

    def plans(shop):
        tried.append((shop.note, shop.name, shop.panel().spaces))
        wanted = [(cause("note", NOTE), shop.note == "x"), (cause("name", NAME), shop.name == "y")]
        missing = [one for one, done in wanted if not done]
        return in_the_way(*missing) if missing else Trial(500.0)

    causes, least = try_remedies(
        garage, [cause("note", NOTE), cause("name", NAME), cause("spaces", PANEL)], plans
    )
    assert least is not None
    assert least.says == ("a note", "a name")
    assert least.each_needed
    assert [c.reason for c in causes] == ["note", "name"]
    spaces = garage.panel().spaces
    assert ("x", garage.name, spaces) in tried
    assert (garage.note, "y", spaces) in tried


def test_a_panel_bought_anyway_has_the_spaces_too(garage):
    """By itself, keeping none spare is less than a panel; beside a new bus the panel is there."""

    def plans(shop):
        short = shop.panel().spaces < 20 and shop.later.spare_spaces
        weak = bus_wanted and shop.panel().bus_amps < 200
        found = [cause("spaces", PANEL, SPARE)] * bool(short) + [cause("bus", BUS)] * weak
        return in_the_way(*found) if found else Trial(500.0)

    bus_wanted = False
    _, least = try_remedies(garage, [cause("spaces", PANEL, SPARE)], plans)
    assert least is not None
    assert least.says == ("keep none spare",)
    bus_wanted = True
    _, least = try_remedies(garage, [cause("bus", BUS), cause("spaces", PANEL, SPARE)], plans)
    assert least is not None
    assert least.says == ("a panel with a bus of 200 A", "a panel with 20 spaces")
    assert [part.unpriced for part in least.parts] == [("panel P",), ()]


def test_each_change_has_its_price(garage):
    """What is not bound to circuits costs 10, with the note 14, with name and note 14 too."""
    both = [cause("note", NOTE), cause("name", NAME)]

    def plans(shop):
        done = shop.note == "x" and shop.name == "y"
        return Trial(500.0) if done else in_the_way(*both)

    def prices(shop):
        return 14.0 if shop.note == "x" else 10.0

    _, least = try_remedies(garage, both, plans, prices=prices)
    assert least is not None
    assert [(part.says, part.adds_usd) for part in least.parts] == [
        ("a note", 4.0),
        ("a name", 0.0),
    ]
    assert [(part.reason, part.where) for part in least.parts] == [("note", "P"), ("name", "P")]


def test_a_stop_ends_it_and_what_was_not_tried_is_said(garage):
    made = []

    def plans(shop):
        made.append(shop)
        return in_the_way(cause("spaces", SPARE))

    causes, least = try_remedies(garage, [cause("note", NOTE)], plans, over=lambda: len(made) >= 2)
    assert len(made) == 2
    assert least is None
    assert [c.reason for c in causes] == ["note", "spaces"]
    assert causes[1].later
    assert causes[1].remedies[0].works is None
