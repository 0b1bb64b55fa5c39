"""Cutting against counting out, and against public bin packing files with proved optima."""

import random
from functools import cache

import pytest

from benchmarks.cutting import read_packings
from solver.kernel.cutting import Stock, cut


def least_by_counting(pieces, stocks, loose):
    """The least cost by trying every set for the length that the first piece is cut of."""

    @cache
    def least(left):
        if not left:
            return 0
        first, rest = left[0], left[1:]
        best = float("inf") if loose is None else loose(first) + least(rest)
        for chosen in range(1 << len(rest)):
            inside = [first, *(p for n, p in enumerate(rest) if chosen >> n & 1)]
            fits = [s.cost for s in stocks if s.length >= sum(inside)]
            if fits:
                others = tuple(p for n, p in enumerate(rest) if not chosen >> n & 1)
                best = min(best, min(fits) + least(others))
        return best

    return least(tuple(sorted(pieces, reverse=True)))


def by_its_length(size):
    """What a piece costs that is bought at its own length."""
    return size * 2 // 3 + 1


def whole(found, pieces):
    """Every piece is cut once, of a length that holds it."""
    assert sorted(p for used in found.used for p in used.pieces) == sorted(pieces)
    for used in found.used:
        if used.stock is None:
            assert len(used.pieces) == 1
        else:
            assert sum(used.pieces) <= used.stock.length
    return True


@pytest.mark.parametrize("seed", range(60))
def test_the_cheapest_cut_is_the_one_counted_out(seed):
    rng = random.Random(seed)
    pieces = [rng.randint(3, 60) for _ in range(rng.randint(1, 8))]
    stocks = [Stock(60, 30), Stock(100, 46), Stock(25, 14)][: rng.randint(1, 3)]
    loose = by_its_length if seed % 2 else None
    found = cut(pieces, stocks, loose)
    assert whole(found, pieces)
    paid = sum(
        used.stock.cost if used.stock else by_its_length(*used.pieces) for used in found.used
    )
    assert loose or all(used.stock for used in found.used)
    assert found.bound <= found.cost == paid
    assert found.cost == least_by_counting(pieces, stocks, loose)


def test_the_same_pieces_are_cut_the_same_way():
    pieces = [random.Random(3).randint(20, 100) for _ in range(60)]
    assert cut(pieces, [Stock(150, 1)]) == cut(pieces, [Stock(150, 1)])


def test_a_piece_longer_than_all_that_is_sold_is_refused():
    with pytest.raises(ValueError, match="no stock is as long as 70"):
        cut([70, 10], [Stock(60, 5)])


def test_nothing_wanted_costs_nothing():
    assert cut([], [Stock(60, 5)]).used == ()


def test_public_files_are_packed_at_their_published_optimum(benchmark_data):
    """Falkenauer 1996 and Scholl, Klein & Juergens 1997, as BPPLIB (Delorme, Iori & Martello 2018)
    distributes them; optima as published with it.
    """
    packings = list(read_packings(benchmark_data / "binpack"))
    met = 0
    for packing in packings:
        found = cut(packing.weights, [Stock(packing.capacity, 1)])
        assert whole(found, packing.weights)
        assert found.bound <= packing.optimum <= found.cost
        met += found.cost == packing.optimum
    assert met >= 0.95 * len(packings), f"{met} of {len(packings)}"
