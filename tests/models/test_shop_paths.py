"""Paths into a shop: what the schema has is taken, what it has not is refused with what is near."""

from pathlib import Path

import pytest

from models.shop_file import read_shop
from models.shop_paths import PathError, check_path

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


@pytest.fixture(scope="module")
def shop():
    return read_shop(SCENARIOS / "half_wired_metal_shop.yaml")


def paths_of(data, path=""):
    """Every path to a key that a shop in canonical form has."""
    for key, value in data.items():
        here = f"{path}{key}"
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for one in value:
                if "id" in one:
                    yield f"{here}[{one['id']}]"
                    yield from paths_of(one, f"{here}[{one['id']}].")
        else:
            yield here
            if isinstance(value, dict):
                yield from paths_of(value, f"{here}.")


def test_every_path_of_a_shop_is_taken(shop):
    paths = list(paths_of(shop.canonical()))
    assert len(paths) > 200
    for path in paths:
        check_path(shop, path)


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("cod.edition", "a shop has no key 'cod': closest: code"),
        ("code.multiwir", "code has no key 'multiwir': closest: multiwire"),
        ("boxes[N33]", "there is no boxes 'N33': closest: N3"),
        ("supply.panels.spaces", "say which one, like `panels[NAME]`"),
        ("code.edition.year", "edition has no keys of its own"),
        ("code[x].edition", "code holds no things with names"),
        ("boxes[N3", "write a path like"),
        ("use.days[usual].people.bai", "people has no 'bai': closest: bay"),
    ],
)
def test_what_is_refused(shop, path, says):
    with pytest.raises(PathError, match=r".*") as caught:
        check_path(shop, path)
    assert says in str(caught.value)


def test_a_new_thing_may_be_named_last_only(shop):
    check_path(shop, "boxes[NEW1]", adds=True)
    with pytest.raises(PathError):
        check_path(shop, "boxes[NEW1]")
    with pytest.raises(PathError):
        check_path(shop, "boxes[NEW1].height", adds=True)
