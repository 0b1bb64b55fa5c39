"""Futures: as the checks find them once they have come, and what a machine to come adds by hand."""

from itertools import combinations

import pytest

from models.price_book import PriceBook
from models.rules.load_calculation import calculated_amps
from models.rules.reading import Reading
from models.shop import Shop
from models.shop_edit import changed
from solver.changing_over import changed_over
from solver.coming_runs import ComingRuns
from solver.futures import Futures
from solver.futures_remedies import helping
from tests.plan_files import plan_on_file

HEATER = {
    "id": "new", "volts": "240 V", "marked": "24 A", "continuous": True, "set_and_leave": True,
    "hard_wired_at": "N2", "likelihood": "25 %", "within": "2 years",
}  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    """M1 may change with 60 %, M2 too; all boxes are reached by raceways in masonry."""
    return plan_on_file("two_changeovers")


def with_later(plan, *changes):
    """The plan of a shop that says something else of what may come."""
    shop = changed(Shop.model_validate(plan.source.shop), changes)
    source = plan.source.model_copy(update={"shop": shop.canonical()})
    return plan.model_copy(update={"source": source})


def only(future, kind):
    (strain,) = future.of(kind)
    return strain


def test_each_future_is_what_the_checks_find_when_it_has_come(plan):
    """Calculation, legs and spaces of the plan after these changeovers, by the rules."""
    found = {future.comes: future for future in Futures(plan).all()}
    machines = [draft.machine for draft in plan.changeovers]
    assert set(found) == {c for n in range(3) for c in combinations(machines, n)}
    for comes, future in found.items():
        then = plan
        for machine in comes:
            then = changed_over(then, machine)
        reading = Reading(then, Shop.model_validate(then.source.shop))
        assert only(future, "calculation").found == calculated_amps(reading, "P")
        heavier = max(max(row.a_amps, row.b_amps) for row in then.legs)
        assert only(future, "leg").found == pytest.approx(heavier, abs=0.06)


def test_what_the_feeder_loses_and_carries(plan):
    """30 ft of 1 AWG copper, 0.154 ohm/kft (chapter 9 Table 8), 130 A at 75 °C (Table 310.16).

    All three may run. By the hots of 30 ft 1 A loses 4.62 mV, with the neutral 9.24 mV. Leg B
    today: M2 12 A at 120 V 111 mV, M3 15 A at 240 V 69 mV, 0.15 % of 120 V. With M1 at 240 V, 5 A,
    23 mV more: 0.17 %. With M2 at 240 V, 6 A, leg A: M1 10 A 92 mV, M3 69 mV, M2 28 mV: 0.16 %.
    With both 69 + 28 + 23 mV: 0.10 %.
    """
    found = {frozenset(future.comes): future for future in Futures(plan).all()}
    drops = {comes: only(future, "drop").found for comes, future in found.items()}
    assert drops == {
        frozenset(): 0.15, frozenset({"M1"}): 0.17, frozenset({"M2"}): 0.16,
        frozenset({"M1", "M2"}): 0.1,
    }  # fmt: skip
    assert {only(future, "conductor").limit for future in found.values()} == {130}


def test_what_is_recommended_gives_no_way(plan):
    """Over 2000 ft the feeder loses 2000 / 30 times as much, where 3 % is recommended: told, and
    nothing else.
    """
    far = with_later(plan, ("supply.panels[P].feeder.length", "2000 ft"))
    near = {future.comes: only(future, "drop").found for future in Futures(plan).all()}
    for future in Futures(far).all():
        drop = only(future, "drop")
        assert drop.found == pytest.approx(near[future.comes] * 2000 / 30, abs=0.005 * 2000 / 30)
        assert drop.found > drop.limit == 3
        assert future.holds


# What to pull now

LEFT = "two spaces kept in the panel"
PULLED = "its run pulled now, capped and marked, and two spaces kept"


def heater_run(plan_of, likelihood, *, closed):
    """A heater at a blank box of its own, and what could be done for it."""
    box = {"wall": "north", "x": "3 ft", "height": "4 ft", "yokes": ["blank"]}
    heater = {**HEATER, "hard_wired_at": "H1", "likelihood": likelihood}
    shop = ("boxes[H1]", box), ("later.machines[new]", heater), ("later.open_walls", not closed)
    found = list(ComingRuns(Futures(plan_of("two_gangs", *shop)), PriceBook.read()).all())
    (run,) = (one for one in found if one.id == "new")
    return run, {choice.says: choice for choice in run.choices}


@pytest.mark.parametrize(
    ("likelihood", "closed", "best"),
    [("90 %", True, PULLED), ("10 %", True, LEFT), ("90 %", False, LEFT)],
)
def test_what_is_pulled_for_a_machine_to_come_costs_least_as_expected(
    plan_of, likelihood, closed, best
):
    """Where walls can be opened the same is laid later, so nothing is gained by laying it now."""
    run, choices = heater_run(plan_of, likelihood, closed=closed)
    assert run.choices[0].says == best
    pulled, left = choices[PULLED], choices[LEFT]
    share = float(likelihood.removesuffix(" %")) / 100
    for choice in run.choices:
        expected = choice.now_usd + share * choice.day_usd
        assert choice.expected_usd == pytest.approx(expected, abs=0.006)
    more = left.day_usd - pulled.now_usd - pulled.day_usd
    assert more > 0.01 if closed else more == pytest.approx(0, abs=0.006)


def test_its_circuit_carries_it(plan_of):
    """24 A for hours are 30 A: 10 AWG at 60 °C carries 30 A (Table 310.16)."""
    run, _ = heater_run(plan_of, "50 %", closed=True)
    assert "2-pole 30 A" in run.circuit
    assert "10 AWG in cable" in run.circuit
    assert 0 < run.drop_percent < 3


def test_what_cannot_be_wired_so_is_told(plan):
    garage = plan_on_file("one_bay_garage")
    nowhere = {**HEATER, "hard_wired_at": None, "plug": "6-30P", "at": ["6 ft", "5 ft"]}
    for heater, says in (({**HEATER, "hard_wired_at": "T1"}, "no blank yoke"),
                         (nowhere, "no receptacle that its plug 6-30P fits")):  # fmt: skip
        later = Futures(with_later(garage, ("later.machines[new]", heater)))
        (run,) = (r for r in ComingRuns(later, PriceBook.read()).all() if r.id == "new")
        assert says in (run.why or "")
        assert run.choices == ()


# What would help


def test_a_charger_that_takes_what_is_left(plan):
    """A charger of 60 A gives way; held to what is left it counts as that (625.42)."""
    charger = {**HEATER, "id": "car", "kind": "vehicle charger", "marked": "60 A"}
    later = Futures(with_later(plan, ("later.changeovers", None), ("later.machines[car]", charger)))
    every = later.all()
    assert [future.holds for future in every] == [True, False]
    alone, together = helping(later, every)
    assert alone[0].says.startswith("load sharing that holds car to ")
    assert (alone[0].holds, alone[0].likelihood) == (2, pytest.approx(1))
    assert together[0] == alone[0]
    amps = int(next(word for word in alone[0].says.split() if word.isdigit()))
    room = only(every[1], "calculation")
    assert only(every[0], "calculation").found + 1.25 * amps <= room.limit
    assert only(every[0], "calculation").found + 1.25 * (amps + 2) > room.limit


@pytest.mark.parametrize(("edition", "taken"), [(2017, 31), (2023, 32)])
def test_a_charger_held_to_less_stays_continuous(plan, edition, taken):
    """31 A of 60 A are taken, 23 A at 125 % are left: 625.42.

    220.57 (2023) asks for 7200 VA of a charger, 30 A: whether of one that is held too, it is told.
    """
    charger = {key: HEATER[key] for key in HEATER if key not in ("continuous", "marked")}
    charger |= {"id": "car", "kind": "vehicle charger", "power": "9600 W"}
    changes = [
        ("later.changeovers", None),
        ("later.machines[car]", charger),
        ("supply.panels[P].feeder.breaker", "60 A"),
        ("code.edition", edition),
    ]
    later = Futures(with_later(plan, *changes))
    every = later.all()
    assert [only(one, "calculation").found for one in every] == [taken, taken + 1.25 * 40]
    alone, _ = helping(later, every)
    (told,) = [help.says for help in alone if help.says.startswith("load sharing")]
    amps = int((60 - taken) / 1.25)
    assert told.startswith(f"load sharing that holds car to {amps} A while the rest runs (625.42")
    assert ("220.57" in told) == (edition >= 2023)


def test_a_charger_too_unlikely_to_be_combined(plan):
    """Six likelier things come first; what gives way among them is told all the same."""
    heaters = [
        (f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "likelihood": "50 %"}) for n in range(6)
    ]
    charger = {**HEATER, "id": "car", "kind": "vehicle charger", "likelihood": "1 %"}
    changes = [("later.changeovers", None), *heaters, ("later.machines[car]", charger)]
    later = Futures(with_later(plan, *changes))
    assert later.left_out == 1
    alone, _ = helping(later, later.all())
    assert any("feeder of" in help.says for help in alone)
    assert not any("load sharing" in help.says for help in alone)


def test_together_they_help_until_nothing_gives_way():
    """Two heaters of 24 A where the feeder has 60 A and the panel two spaces."""
    garage = plan_on_file("one_bay_garage")
    heaters = [(f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "hard_wired_at": "T1"})
               for n in range(2)]  # fmt: skip
    later = Futures(with_later(garage, *heaters))
    every = later.all()
    _, together = helping(later, every)
    assert together[-1].holds == len(every)
    holding = [help.holds for help in together]
    assert holding == sorted(holding)
    assert any("feeder of" in help.says for help in together)
    assert any("spaces more" in help.says for help in together)


def test_where_nothing_gives_way_nothing_is_to_help(plan):
    later = Futures(plan)
    assert helping(later, later.all()) == ([], [])


def test_likelihoods_are_those_of_independent_things(plan):
    chances = {one.id: one.likelihood for one in Futures(plan).coming}
    found = {future.comes: future.likelihood for future in Futures(plan).all()}
    assert sum(found.values()) == pytest.approx(1)
    assert found["M1",] == pytest.approx(chances["M1"] * (1 - chances["M2"]))


def test_a_machine_to_come_adds_its_load_two_spaces_and_its_conductors(plan):
    """24 A for hours are 30 A by 215.2; two hots and a ground of 10 AWG THHN, 3 x 0.0211 in²."""
    later = Futures(with_later(plan, ("later.machines[new]", HEATER)))
    found = {future.comes: future for future in later.all()}
    today, then = found[()], found["new",]
    more = only(then, "calculation").found - only(today, "calculation").found
    assert more in (30, 31)  # of a whole ampere each
    assert only(then, "spaces").found == only(today, "spaces").found + 2
    assert only(then, "leg").found == pytest.approx(only(today, "leg").found + 24, abs=0.11)
    (raceway,) = then.of("raceway")
    inside = next(r for r in plan.raceways if r.id == raceway.where)
    wires = [wire.awg for c in inside.ledgers[0].contents for wire in c.conductors]
    areas = {"12": 0.0133, "14": 0.0097, "10": 0.0211}  # chapter 9 Table 5
    assert raceway.found == pytest.approx(sum(areas[awg] for awg in wires) + 3 * 0.0211, abs=2e-4)
    assert raceway.limit == pytest.approx(0.4 * 0.864, abs=1e-3)  # 1 EMT, Table 4


def test_walls_that_may_be_opened_need_no_raceway(plan):
    """Where a cable can go none is asked for; in masonry none can."""
    opened = Futures(with_later(plan, ("later.machines[new]", HEATER)))
    assert all(f.of("raceway") for f in opened.all() if "new" in f.comes)
    garage = plan_on_file("one_bay_garage")
    heater = {**HEATER, "hard_wired_at": "T1"}
    later = Futures(with_later(garage, ("later.machines[new]", heater)))
    assert not any(f.of("raceway") for f in later.all())


def test_what_is_too_much_gives_way(plan):
    heater = {**HEATER, "marked": "90 A"}
    found = {f.comes: f for f in Futures(with_later(plan, ("later.machines[new]", heater))).all()}
    assert found[()].holds
    assert not found["new",].holds
    assert found["new",].first.kind == "calculation"


def heated(plan, count):
    """What comes of so many heaters, all of them, where six spaces of twelve are free."""
    heaters = [(f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "marked": "1 A"})
               for n in range(count)]  # fmt: skip
    return Futures(with_later(plan, ("later.changeovers", None), *heaters)).all()[-1]


@pytest.mark.parametrize(("count", "taken", "holds"), [(3, 12, True), (4, 14, False)])
def test_each_heater_takes_two_spaces(plan, count, taken, holds):
    future = heated(plan, count)
    spaces = only(future, "spaces")
    assert (spaces.found, spaces.limit, future.holds) == (taken, 12, holds)


def test_spaces_for_two_poles_must_be_neighbours(plan):
    """With 10 taken in place of 3 six are free, and of these only 6 and 8, 9 and 11 are beside each
    other.
    """
    (panel,) = plan.panels
    kept = {3: None, 10: "changeover of M1"}
    spaces = tuple(
        one.model_copy(update={"reserved_for": kept.get(one.space, one.reserved_for)})
        for one in panel.spaces
    )
    apart = plan.model_copy(update={"panels": (panel.model_copy(update={"spaces": spaces}),)})
    future = heated(apart, 3)
    assert only(future, "spaces").found == 12
    assert not future.holds
    assert future.first.kind == "spaces"


def test_of_many_the_likeliest_are_combined(plan):
    chances = [90, 80, 70, 60, 50, 40, 30, 20]
    heaters = [
        (f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "likelihood": f"{share} %"})
        for n, share in enumerate(chances)
    ]
    later = Futures(with_later(plan, ("later.changeovers", None), *heaters))
    assert {one.id for one in later.coming} == {f"h{n}" for n in range(6)}
    assert (later.left_out, len(later.all())) == (2, 64)


def test_spaces_kept_for_what_does_not_come_are_free_then():
    """Of eight spaces four are kept for two heaters; each that comes takes its two."""
    plan = plan_on_file("machines_to_come")
    found = {future.comes: future for future in Futures(plan).all()}
    today = only(found[()], "spaces").found
    taken = {comes: only(future, "spaces").found - today for comes, future in found.items()}
    assert (taken["h",], taken["k",], taken["h", "k"]) == (2, 2, 4)
    assert not found["h",].of("raceway")  # its run is pulled


GRINDER = {"id": "new", "volts": "120 V", "plug": "5-15P", "at": ["13 ft", "8 ft"], "cord": "14 ft",
           "always_on": True, "likelihood": "50 %", "within": "1 year"}  # fmt: skip


@pytest.mark.parametrize(
    ("marked", "says"),
    [
        # not beside M1: the plan prepares its receptacle for 240 V
        ("8 A", "plugged in at N2.right.bottom on C2 as it is: M2 + new = 20 A of 20 A"),
        ("10.5 A", None),  # M1 draws 10 A on C1, M2 12 A on C2, and nobody stands at the new one
        ("17 A", None),
    ],
)
def test_where_a_plug_finds_room(plan, marked, says):
    """On 20 A circuits at most 16 A at a receptacle, Table 210.21(B)(2); one person works."""
    later = with_later(plan, ("later.machines[new]", {**GRINDER, "marked": marked}))
    (run,) = (r for r in ComingRuns(Futures(later), PriceBook.read()).all() if r.id == "new")
    told = [choice.says for choice in run.choices]
    assert told == [says] if says else "nothing now" in told  # else a receptacle of its own
    assert run.why is None


def test_a_plug_finds_the_roomiest_circuit_where_nothing_changes(plan):
    """10 A and 8 A on one circuit of 20 A are less of it than 12 A and 8 A on the other."""
    stays = with_later(
        plan,
        ("later.changeovers", []),
        ("later.machines[new]", {**GRINDER, "marked": "8 A"}),
    )
    (run,) = ComingRuns(Futures(stays), PriceBook.read()).all()
    (choice,) = run.choices
    assert choice.says == "plugged in at N1.left.bottom on C1 as it is: M1 + new = 18 A of 20 A"
