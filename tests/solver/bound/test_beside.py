"""The bound worked out by a process of its own is the one worked out here."""

from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.bound.beside import Beside
from solver.bound.least import least
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.points import Points
from solver.routes import Ways
from solver.solve import Control

GARAGE = Path(__file__).resolve().parents[3] / "scenarios" / "one_bay_garage.yaml"


def test_it_is_the_same_bound_with_the_same_certificate(tmp_path, monkeypatch):
    shop, book = read_shop(GARAGE), PriceBook.read()
    for name in ("models", "solver"):  # what lies in the working folder is not run
        (tmp_path / f"{name}.py").write_text("raise SystemExit(3)\n")
    monkeypatch.chdir(tmp_path)
    with Beside(shop, book, 10) as beside:
        found = beside.found(Control(10))
    circuits = Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, book))
    assert found is not None
    assert found == least(circuits, Control(10))


def test_a_search_that_has_to_stop_does_not_wait():
    control = Control(10)
    control.stop()
    with Beside(read_shop(GARAGE), PriceBook.read(), 10) as beside:
        assert beside.found(control) is None


def test_a_process_that_fails_is_told(monkeypatch):
    monkeypatch.setattr("solver.bound.beside.pickle.dump", lambda _, file: file.write(b"no shop"))
    with (
        Beside(read_shop(GARAGE), PriceBook.read(), 10) as beside,
        pytest.raises(RuntimeError, match="ended with 1"),
    ):
        beside.found(Control(10))
