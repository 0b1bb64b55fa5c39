"""The bound worked out by a process of its own is the one worked out here."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.bound.beside import Beside
from solver.bound.least import least
from solver.circuit import Circuits
from solver.solve import Control
from tests.processes import ends, runs

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"
GARAGE = SCENARIOS / "one_bay_garage.yaml"
MAKERSPACE = SCENARIOS / "ninety_box_makerspace.yaml"


def test_it_is_the_same_bound_with_the_same_certificate(tmp_path, monkeypatch):
    shop, book = read_shop(GARAGE), PriceBook.read()
    for name in ("models", "solver"):  # what lies in the working folder is not run
        (tmp_path / f"{name}.py").write_text("raise SystemExit(3)\n")
    monkeypatch.chdir(tmp_path)
    with Beside(shop, book, 10) as beside:
        found = beside.found(Control(10))
    circuits = Circuits.of(shop, book)
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


@pytest.mark.skipif(os.name == "nt", reason="no such signals there")
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_it_ends_with_the_search_however_that_is_ended(how):
    script = (
        "import time\n"
        "from pathlib import Path\n"
        "from models.price_book import PriceBook\n"
        "from models.shop_file import read_shop\n"
        "from solver.bound.beside import Beside\n"
        f"shop = read_shop(Path({str(MAKERSPACE)!r}))\n"
        "with Beside(shop, PriceBook.read(), 1000) as beside:\n"
        "    print(beside._process.pid, flush=True)\n"
        "    time.sleep(100)\n"
    )
    search = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
    assert search.stdout is not None
    pid = int(search.stdout.readline())
    assert runs(pid)
    search.send_signal(how)
    assert search.wait(30) == -how
    search.stdout.close()
    assert ends(pid)
