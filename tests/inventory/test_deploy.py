"""Behind TLS, with the settings as documented, Django's own check of a deployment finds nothing."""

from __future__ import annotations

import os
import secrets
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.project import ROOT

SETTINGS = ROOT / "docs" / "reference" / "settings.md"
BEHIND_TLS = {"SHIMSHELF_TRUSTED_ORIGINS": "https://shelf.example", "SHIMSHELF_ALLOWED_HOSTS": "shelf.example"}
SHOW = (
    "import django; django.setup(); from django.conf import settings;"
    " from django.test import Client; from django.core.handlers.wsgi import WSGIHandler;"
)


def run(*words: str, data: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """A process of the project with these settings and none of the caller's."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("SHIMSHELF_", "DATABASE_URL"))}
    known = {
        **clean,
        "DJANGO_SETTINGS_MODULE": "inventory.project.settings",
        "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(50),
        "SHIMSHELF_DATA": str(data / "var"),
    }
    return subprocess.run(
        [sys.executable, *words], cwd=ROOT, env={**known, **variables}, capture_output=True, text=True
    )


def check(data: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    return run("manage.py", "check", "--deploy", "--fail-level", "WARNING", data=data, **variables)


def test_behind_tls_the_check_of_a_deployment_finds_nothing(tmp_path: Path) -> None:
    done = check(tmp_path, **BEHIND_TLS)
    assert (done.returncode, "no issues" in done.stdout) == (0, True), done.stderr


@pytest.mark.parametrize("name", BEHIND_TLS)
def test_the_settings_of_that_check_are_documented(name: str) -> None:
    assert f"## `{name}`" in SETTINGS.read_text()


def test_without_tls_the_check_still_says_what_is_missing(tmp_path: Path) -> None:
    done = check(tmp_path)
    assert done.returncode == 1
    assert {"security.W004", "security.W008", "security.W012", "security.W016"} <= {
        word.strip("?:()") for word in done.stderr.split()
    }


def ask(data: Path, headers: str, **variables: str) -> list[str]:
    """[status, Strict-Transport-Security, Location] of the sign-in page, asked for with these headers."""
    code = (
        f"{SHOW} reply = Client(headers={headers}).get('/sign-in', HTTP_HOST='shelf.example');"
        " print(reply.status_code, reply.get('Strict-Transport-Security'), reply.get('Location'), sep='|')"
    )
    done = run("-c", code, data=data, **variables)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip().split("|")


def test_browsers_are_told_to_keep_to_tls(tmp_path: Path) -> None:
    over_tls = ask(tmp_path, "{'X-Forwarded-Proto': 'https'}", **BEHIND_TLS)
    assert over_tls == ["200", "max-age=31536000", "None"]
    assert ask(tmp_path, "{}", **BEHIND_TLS) == ["301", "None", "https://shelf.example/sign-in"]


def test_without_tls_nothing_is_promised(tmp_path: Path) -> None:
    assert ask(tmp_path, "{}", SHIMSHELF_ALLOWED_HOSTS="shelf.example") == ["200", "None", "None"]


def test_the_days_of_the_promise_are_the_shops(tmp_path: Path) -> None:
    told = ask(tmp_path, "{'X-Forwarded-Proto': 'https'}", SHIMSHELF_HSTS_DAYS="1", **BEHIND_TLS)
    assert told[1] == "max-age=86400"
