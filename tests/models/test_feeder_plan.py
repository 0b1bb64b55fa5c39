"""A feeder of a plan: what its load calculation comes to."""

from models.plan import FeederPlan, LoadLine


def feeder(*va):
    lines = tuple(LoadLine(says="load", va=one, source="220") for one in va)
    return FeederPlan(
        id="F", source="service", to="P", breaker_amps=100, length_ft=10, conductors={},
        load_calculation=lines or None, demand=(),
    )  # fmt: skip


def test_a_load_calculation_in_amperes():
    """NFPA 70-2023 Annex D Example D1(a): 18 600 VA are 78 A at 240 V."""
    found = feeder(10_000, 8_600)
    assert (found.calculated_va, found.calculated_amps) == (18_600, 78)


def test_a_feeder_without_one():
    assert feeder().calculated_va == 0
