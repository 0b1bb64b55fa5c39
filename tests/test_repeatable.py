"""The same shop and effort give the same bytes: again, other hash seed, one core, lists turned."""

import json
import os
import subprocess
import sys

import pytest

from models.shop import ORDERED
from models.shop_file import read_shop

PLACES = {"by", "ends"}  # a raceway's points go from its first end to its second


def reversed_lists(data, key=""):
    """The same data with every list reversed whose order is not a fact."""
    if isinstance(data, dict):
        return {name: reversed_lists(value, name) for name, value in reversed(data.items())}
    if not isinstance(data, list):
        return data
    items = data if key in PLACES else [reversed_lists(item) for item in data]
    return items if key in ORDERED | PLACES else items[::-1]


def written(folder):
    """The bytes of a plan and its page."""
    return [(folder / name).read_bytes() for name in ("plan.json", "index.html")]


def plan(shop, folder, cores=None, **environment):
    """Plan in a process of its own; the bytes written."""

    def pin():
        if cores is not None:
            os.sched_setaffinity(0, cores)

    subprocess.run(
        [sys.executable, "-m", "branchwright", "plan", str(shop), "-o", str(folder)],
        env={**os.environ, **environment}, preexec_fn=pin, capture_output=True, check=True,
    )  # fmt: skip
    return written(folder)


@pytest.fixture(scope="module")
def garage(request):
    return request.config.rootpath / "scenarios" / "one_bay_garage.yaml"


@pytest.fixture(scope="module")
def first(planned_garage):
    return written(planned_garage[1])


def test_twice_and_under_another_hash_seed(garage, first, tmp_path):
    assert plan(garage, tmp_path / "out", PYTHONHASHSEED="12345") == first


def test_on_one_core_and_on_all(garage, first, tmp_path):
    one = min(os.sched_getaffinity(0))
    assert plan(garage, tmp_path / "one", cores={one}) == first
    assert plan(garage, tmp_path / "all", cores=os.sched_getaffinity(0)) == first


def test_with_the_lists_of_the_file_reversed(garage, first, tmp_path):
    text = json.dumps(reversed_lists(read_shop(garage).canonical()))
    assert text.index('"W3"') < text.index('"W1"')
    (tmp_path / "turned.yaml").write_text(text, "utf-8")
    assert plan(tmp_path / "turned.yaml", tmp_path / "out") == first
