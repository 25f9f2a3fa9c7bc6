"""The command that runs every check stops at the first that fails, and says which."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

import pytest

from tests import __main__ as runner
from tests import environment


def test_a_step_that_fails_is_named_and_ends_the_run(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def everything(steps: runner.Steps) -> None:
        steps.run("first", sys.executable, "-c", "print('one')")
        steps.run("second", sys.executable, "-c", "raise SystemExit(3)")
        steps.run("third", sys.executable, "-c", "print('three')")

    monkeypatch.setattr(runner, "everything", everything)
    assert runner.main([]) == 1
    shown = capfd.readouterr().out
    assert "tests: second failed (exit 3)" in shown
    assert "--- third" not in shown
    assert "s  first\n" in shown


def test_a_step_that_fails_beside_another_is_named_when_both_have_ended(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def everything(steps: runner.Steps) -> None:
        with steps.beside("types", sys.executable, "-c", "print('wrong'); raise SystemExit(4)"):
            steps.run("tests", sys.executable, "-c", "print('one')")

    monkeypatch.setattr(runner, "everything", everything)
    assert runner.main([]) == 1
    shown = capfd.readouterr().out
    assert "--- tests\none\n\n--- types\nwrong\n" in shown
    assert "tests: types failed (exit 4)" in shown


def test_who_wants_no_bytecode_beside_the_sources_gets_it_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("PYTHONPYCACHEPREFIX", "put back afterwards")
    monkeypatch.delenv("PYTHONPYCACHEPREFIX")
    runner.keep_bytecode()
    assert "PYTHONDONTWRITEBYTECODE" not in os.environ
    assert Path(os.environ["PYTHONPYCACHEPREFIX"]).is_relative_to(runner.ROOT)


def test_no_race_and_no_question_to_a_database_is_left_out_by_where_a_step_looks() -> None:
    tests = runner.ROOT / "tests"
    racing = [file for file in tests.rglob("test_*.py") if re.search(r"mark\.race\b", file.read_text())]
    looked_at = [runner.ROOT / one for one in runner.RACES]
    assert racing and all(any(file.is_relative_to(one) for one in looked_at) for file in racing)
    rooms = {f"tests/{room.name}" for room in tests.iterdir() if any(room.glob("test_*.py"))}
    left_out = rooms - {*runner.ASKING, "tests/browser", "tests/concurrency"}
    varied = {name.rpartition("/")[0] for name in environment.VARIED}
    assert left_out == {"tests/engineering"} | varied
    engine = [file.read_text() for file in (tests / "engineering").glob("*.py")]
    assert engine and not any(re.search(r"import django|from django|django_db", text) for text in engine)


def test_a_missing_tool_fails_before_the_first_step(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(runner, "TOOLS", ("ruff", "no_such_tool"))
    assert runner.main([]) == 2
    assert capsys.readouterr().out.startswith("tests: not installed: no_such_tool.")


def test_a_server_that_does_not_start_fails_the_run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # A keeper that ends at once, without a word.
    monkeypatch.setattr(sys, "executable", "/bin/false")
    assert runner.main(["--engine", "postgresql"]) == 1
    assert "PostgreSQL did not start" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "passed", "engine"),
    [
        (["-k", "hold", "tests/api"], ["-k", "hold", "tests/api"], "sqlite"),
        (["--engine=sqlite", "-x"], ["-x"], "sqlite"),
    ],
)
def test_words_go_to_pytest_as_they_are(
    words: list[str], passed: list[str], engine: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[str, ...]] = []
    monkeypatch.setattr(runner.Steps, "pytest", lambda _, *given, url: seen.append((*given, str(url))))
    assert runner.main(words) == 0
    assert seen == [(f"pytest on {engine}", *passed, "None")]
