"""Sketches against the circuits they stand for, on random sets of near items of demo shops.

A sketch is what the exact circuit costs, to the last unit, wherever it takes the build that turns
out cheapest. What it takes otherwise is named here, with the side on which it is wrong:

* dearer, by raceways: it judges conductors as in cable, and takes the smallest that does there;
* cheaper, by changeovers: of a machine alone it counts breaker and receptacle of the day and no
  wire, as is so in cable and not in a raceway, where a spare is pulled;
* possible, and refused: it does not see that the ground of a cable is too small for hots enlarged
  against voltage drop, nor that a way is too hot for the conductors that it may have.
"""

import random

import pytest

from models.price_book import PriceBook
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.catalogue import RATINGS
from solver.load import Load
from solver.refusal import Refusal
from solver.sketch import Sketcher

SETS = 60
LARGEST = 6  # items
DEARER, CHEAPER = 1.6, 0.7  # at most, of the exact cost
UNSEEN = ("voltage drop", "no way")  # why an exact circuit is refused that a sketch finds


def sketcher_of(request, make_circuits, name, minimize):
    path = request.config.rootpath / "scenarios" / f"{name}.yaml"
    shop = changed(read_shop(path), [("prices.minimize", minimize)])
    sketch = Sketcher(make_circuits(shop, PriceBook.read()))
    sketch.pairing = False  # pairs are a sketch of their own
    return sketch


def fitting_sets(sketch, seed):
    """Sets of items near each other whose load is for some breaker, before they are wired; first
    each that holds a machine which may change.
    """
    circuits, rng = sketch.circuits, random.Random(seed)
    everything = range(len(sketch.items))

    def fits(group):
        return any(circuits.fits(group, amps) for amps in RATINGS)

    loads = {n: circuits.loaded(frozenset([n])) for n in everything}
    found = {
        frozenset([n]): None
        for n, load in loads.items()
        if isinstance(load, Load) and circuits.later.on(load)
    }
    while len(found) < SETS:
        first, size = rng.choice(everything), rng.randint(1, LARGEST)
        near = [n for n in everything if n != first and sketch.may_join(first, n)]
        near = sorted(near, key=lambda n: (sketch.step(first, n), n))[: 3 * size]
        group = frozenset([first])
        for item in rng.sample(near, len(near)):
            if len(group) < size and fits(group | {item}):
                group |= {item}
        if fits(group):
            found[group] = None
    return list(found)


def least(circuits, group):
    """The cheapest circuit of two or three wires, all rules checked; or why there is none."""
    made = circuits.candidates(group)
    if isinstance(made, Refusal):
        return made
    return next((one for one in made if not one.halves), Refusal("no way"))


@pytest.mark.parametrize(
    ("name", "minimize", "may_be_cheaper"),
    [
        ("two_person_instrument_shop", "cost", False),
        ("two_person_instrument_shop", "copper", False),
        ("heron_slip_built", "cost", False),
        ("heron_slip_built", "copper", False),
        ("ninety_box_makerspace", "cost", True),
    ],
)
def test_a_sketch_is_the_exact_cost(name, may_be_cheaper, minimize, request, make_circuits):
    """Measured over 300 to 400 sets: all of the first shop, all but the welder of the second and
    all but three of 274 of the third.
    """
    sketch = sketcher_of(request, make_circuits, name, minimize)
    circuits, same, unlike, later = sketch.circuits, 0, [], 0
    for group in fitting_sets(sketch, seed=1):
        sketched, exact = sketch(group), least(circuits, group)
        if isinstance(exact, Refusal):
            assert not sketched.possible or exact.reason in UNSEEN, (group, exact)
            continue
        assert sketched.possible, group
        assert (sketched.poles, sketched.lights) == (exact.poles, int(exact.lights))
        later += bool(circuits.later.on(exact.load))
        cost = circuits.rank(exact)[0]
        if sketched.cost == cost:
            same += 1
        else:
            unlike.append((sketched.cost / cost, exact))
    assert same > 0.85 * SETS
    assert later > 0, "machines that change are among them"
    for factor, exact in unlike:
        if factor > 1:
            assert any(edge.way.method == "raceway" for edge in exact.edges), exact.items
            assert factor < DEARER
        else:
            assert may_be_cheaper
            assert exact.choices, "only where a machine that changes is prepared for"
            assert factor > CHEAPER


def test_a_set_that_is_known_exactly_is_sketched_so(request, make_circuits):
    """What is lonely is asked for exactly before a search: the sketch is put right."""
    sketch = sketcher_of(request, make_circuits, "heron_slip_built", "cost")
    (welder,) = (n for n, item in enumerate(sketch.items) if item.id == "WELD")
    assert sketch.lonely(welder)
    before = sketch(frozenset([welder])).cost
    best = sketch.exactly(frozenset([welder]))[0]
    assert (best.awg, best.cost) == ("8", sketch(frozenset([welder])).cost)
    assert before > best.cost
