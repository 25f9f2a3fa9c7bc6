"""A reach of time holds on a slow day: it is stated for the reference machine, and scaled by the same loop here."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from tests.benchmarks import __main__ as benchmarks
from tests.benchmarks import figures
from tests.benchmarks.figures import REFERENCE_S, Figure, factor_of, timed
from tests.compat.questions.rooms import tried


def test_a_time_is_judged_by_the_scaled_reach_and_tells_both() -> None:
    one = timed("page", 90, "ms", 60)
    assert (one.at(1.0).ok, one.at(1.0).scaled) == (False, 60)
    assert (one.at(2.0).ok, one.at(2.0).scaled, one.at(2.0).factor) == (True, 120, 2.0)
    assert one.at(2.0).reach == "under 60"


def test_a_fast_machine_has_less_time() -> None:
    assert timed("page", 40, "ms", 60).ok
    assert not timed("page", 40, "ms", 60).at(0.5).ok


def test_what_is_no_time_stands_as_it_is() -> None:
    count = Figure("errors", 1, "", "0", False)
    assert count.at(9.0) == count


def test_the_factor_is_that_of_the_loops_about_a_benchmark(monkeypatch: pytest.MonkeyPatch) -> None:
    assert factor_of(REFERENCE_S) == 1.0
    assert factor_of(REFERENCE_S, 3 * REFERENCE_S) == 2.0
    loops = iter([0.2, 0.1, 9.0])
    monkeypatch.setattr(figures, "_loop", lambda: next(loops))
    assert figures.calibration() == 0.2


def test_the_table_shows_the_figure_both_reaches_and_the_factor() -> None:
    shown = benchmarks.table("pages", [timed("page", 90.04, "ms", 60).at(2.5)], 2.5, 3.0)
    assert str(shown.title) == "pages (3 s; factor 2.50)"
    assert [[str(cell) for cell in column.cells] for column in shown.columns] == [
        ["page"], ["90"], ["ms"], ["under 60"], ["150"], ["ok"],
    ]  # fmt: skip


@pytest.mark.parametrize("name", benchmarks.NAMES)
def test_every_reach_of_time_is_scaled(name: str) -> None:
    """No benchmark writes a reach of time that a slow day would break."""
    source = Path(str(import_module(f"tests.benchmarks.{name}").__file__)).read_text()
    for line in source.splitlines():
        assert not ('Figure("' in line and ('"ms"' in line or '"s"' in line) and '"under' in line), line


def test_the_functions_that_a_benchmark_calls_alone_are_there() -> None:
    calls = [one.engine for one in tried().values() if one.engine]
    assert len(calls) > 5
    for call in calls:
        place, name = call.rsplit(".", 1)
        assert callable(getattr(import_module(place), name)), call
