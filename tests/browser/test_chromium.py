"""A machine without a browser learns how to get one; the tests never go on without."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import start
from tests.browser import chromium

DOOR = Path(start.__file__)


def test_the_door_says_the_line_to_type_before_any_test() -> None:
    # An empty PATH has no browser, and no apt-get that could install one.
    clean = {name: value for name, value in os.environ.items() if name != "CHROMIUM"}
    command = [sys.executable, str(DOOR), "test"]
    done = subprocess.run(command, env={**clean, "PATH": ""}, capture_output=True, text=True)
    assert done.returncode == 2
    assert "A browser for the tests is missing. Type this once" in done.stdout
    assert "apt-get install -y --no-install-recommends chromium-headless-shell'" in done.stdout


def test_the_door_and_the_tests_look_for_the_same_browsers() -> None:
    assert start.BROWSERS == chromium.NAMES


def test_a_browser_that_the_environment_names_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CHROMIUM", "/opt/browser")
    assert chromium.executable() == "/opt/browser"


def test_without_a_browser_the_tests_fail_with_the_cure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(RuntimeError, match=r"start\.py test"):
        chromium.executable()
