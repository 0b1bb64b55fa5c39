"""The table of public instances: what is run, kept, summed up and drawn."""

import csv

import pytest

from benchmarks import public
from benchmarks.instances import read_known
from benchmarks.results import Result, append_result, dearer, read_results, summary
from solver.solve import Control
from tests.benchmarks.test_instances import TEXT, written

KEPT_FILES = ("results_public.csv", "results_ten_seconds.csv")
KEPT = [
    Result("tc40-1", 3, 742, "kernel", 60, 742, 742, True, 2.5, 0.5, 4.9),
    Result("tc40-1", 3, 742, "Esau-Williams", 60, 774, 0, False, 0.0, None, 0.0),
    Result("te40-2", 3, 1103, "kernel", 60, 1114.03, 1103, False, 60.0, 8.5, 119.0),
    Result("te40-2", 3, 1103, "HiGHS, flows", 60, None, 1000, False, 60.0, None, 60.0),
    Result("te40-2", 3, 1103, "CP-SAT, arcs", 60, 1110, 1000, False, 60.0, None, 60.0),
]


@pytest.fixture
def folder(tmp_path):
    """The tiny instance of `test_instances.py`: 14 at least, by hand."""
    written(tmp_path, TEXT)
    (tmp_path / "optima.csv").write_text(
        "instance,capacity,best_known,proven_optimal\ntiny,3,14,yes\n", encoding="utf-8"
    )
    return tmp_path


@pytest.fixture
def root(request):
    """The folder of the project."""
    return request.config.rootpath


def test_the_table_its_csv_and_its_picture(folder, capsys, monkeypatch):
    """No clock ends a way: the planner's search meets no new group, others end with a proof."""
    monkeypatch.setattr(Control, "over", lambda self: False)
    table, picture = folder / "table.csv", folder / "gaps.svg"
    asked = ["--data", str(folder), "--rows", "tiny:3", "--csv", str(table)]
    public.main([*asked, "--seconds", "3600", "--ways", ";".join(public.WAYS[:-1])])
    public.main([*asked, "--seconds", "1", "--picture", str(picture)])
    assert "| tiny, 3 | 14 | 14 (0.00 %), ≥ 14" in capsys.readouterr().out
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["way"] for row in rows] == list(public.WAYS)
    assert [row["gap"] for row in rows[2:]] == ["0.000"] * (len(rows) - 2)
    assert all(way in picture.read_text(encoding="utf-8") for way in public.WAYS)
    with pytest.raises(SystemExit, match=r"optima\.csv has no row tiny:4"):
        public.main(["--data", str(folder), "--rows", "tiny:4"])
    with pytest.raises(SystemExit, match="no way is called 'guessing'"):
        public.main(["--data", str(folder), "--ways", "guessing"])


def test_what_the_file_has_is_not_run_again(folder):
    """The savings rule would find 14; the file says 15, and 15 it stays."""
    table = folder / "table.csv"
    way = "Esau-Williams"
    append_result(table, Result("tiny", 3, 14, way, 20, 15, 0, False, 0.0, None, 0.0))
    asked = ["--data", str(folder), "--ways", way, "--csv", str(table)]
    public.main(asked)
    assert [one.value for one in read_results(table)] == [15]
    table.unlink()
    public.main(asked)
    assert [one.value for one in read_results(table)] == [14]


def test_results_are_read_as_they_were_written(tmp_path):
    table = tmp_path / "table.csv"
    for one in KEPT:
        append_result(table, one)
    assert read_results(table) == KEPT


def test_sets_are_summed_up_and_what_is_dearer_is_told():
    """Gaps by hand: 0 and 1 % of the kernel; 32 / 742 = 4.313 % of the savings rule."""
    lines = summary(KEPT).splitlines()
    assert lines[2] == (
        "| trees, n = 40 | kernel | 60 s | 2 | 0.500 % | 1.00 % | 1 | 1 | 0.00 % | 31.2 | 4.5 |"
    )
    assert "| 1 | 4.313 % | 4.31 % | 0 | 0 | none | 0.0 |  |" in lines[3]
    assert "|  | nothing on 1 | 0 |" in summary(KEPT[3:4])
    assert [(own.value, other.value) for own, other in dearer(KEPT, "kernel")] == [(1114.03, 1110)]


@pytest.mark.parametrize("name", KEPT_FILES)
def test_the_readme_shows_the_results_that_are_kept(name, root):
    """Otherwise: python -m benchmarks public --csv benchmarks/NAME."""
    results = read_results(root / "benchmarks" / name)
    assert len({one.key for one in results}) == len(results) > 100
    assert f"\n{summary(results)}\n\n" in (root / "README.md").read_text("utf-8")


@pytest.mark.parametrize("name", KEPT_FILES)
def test_kept_results_are_of_the_rows_that_are_published(name, root, benchmark_data):
    """Best known values as in optima.csv; none undercut where proved there, no bound above it."""
    known = {
        (one.instance, one.capacity): one
        for folder in ("cmst", "ovrp")
        for one in read_known(benchmark_data / folder)
    }
    for one in read_results(root / "benchmarks" / name):
        row = known[one.instance, one.capacity]
        assert row.value == one.best_known
        rounding = 1e-6 * row.value  # distances of chains are kept in millionths
        assert one.bound <= row.value + rounding
        assert one.value is None or not row.proven or one.value >= row.value - rounding
