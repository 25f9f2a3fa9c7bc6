"""What is kept is the user's alone: the SQLite file, what stands beside it, and the folder."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from inventory import checks
from inventory.project import env
from tests.house.project import ROOT

LOOSE = 0o022


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def run(code: str, **variables: str) -> str:
    """What code says in a fresh process whose umask lets others read."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("SHIMSHELF_", "DATABASE_URL"))}
    known = {**clean, "DJANGO_SETTINGS_MODULE": "inventory.project.settings", "SHIMSHELF_SECRET_KEY": "k" * 60}
    code = f"import os; os.umask({LOOSE}); {code}"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env={**known, **variables}, capture_output=True, text=True, check=True
    )
    return done.stdout


WRITE = (
    "import django; django.setup(); from django.db import connection; c = connection.cursor();"
    " c.execute('CREATE TABLE t (n)'); c.execute('INSERT INTO t VALUES (1)');"
    " print(*sorted(os.listdir(os.path.dirname(connection.settings_dict['NAME']))))"
)


def test_a_new_database_and_all_beside_it_is_for_its_user_alone(tmp_path: Path) -> None:
    show = (
        "import stat; folder = os.path.dirname(connection.settings_dict['NAME']);"
        " print([oct(stat.S_IMODE(os.stat(os.path.join(folder, one)).st_mode)) for one in os.listdir(folder)])"
    )
    keep = f"{WRITE}; {show}"
    names, modes = run(keep, SHIMSHELF_DATA=str(tmp_path / "kept" / "here")).splitlines()
    assert names.split() == ["shelf.sqlite3", "shelf.sqlite3-shm", "shelf.sqlite3-wal"]
    assert modes == str(["0o600"] * 3)
    assert mode(tmp_path / "kept" / "here") == 0o700


def test_a_database_that_is_there_keeps_what_it_holds(tmp_path: Path) -> None:
    run(WRITE, SHIMSHELF_DATA=str(tmp_path))
    again = "import django; django.setup(); from django.db import connection; c = connection.cursor()"
    assert (
        run(f"{again}; c.execute('SELECT n FROM t'); print(c.fetchall())", SHIMSHELF_DATA=str(tmp_path)) == "[(1,)]\n"
    )


def test_the_folder_of_the_demo_and_its_key_are_for_its_user_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from inventory.project import demo_environment

    monkeypatch.setattr(demo_environment, "FOLDER", tmp_path / "var" / "demo")
    for name in ("SHIMSHELF_SECRET_KEY", "DATABASE_URL", "SHIMSHELF_DEMO"):
        monkeypatch.setenv(name, "kept")
    before = os.umask(LOOSE)
    try:
        demo_environment.prepare()
    finally:
        os.umask(before)
    assert (mode(tmp_path / "var" / "demo"), mode(tmp_path / "var" / "demo" / "secret_key")) == (0o700, 0o600)


def test_a_folder_that_is_there_is_left_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tmp_path.chmod(0o755)
    monkeypatch.setenv("SHIMSHELF_DATA", str(tmp_path))
    assert env.folder("SHIMSHELF_DATA", tmp_path) == tmp_path
    assert mode(tmp_path) == 0o755


@pytest.mark.parametrize(
    ("folder", "file", "said"),
    [
        (0o700, 0o600, []),
        (0o750, 0o600, ["chmod 700 {folder}"]),
        (0o700, 0o640, ["chmod 600 {file}"]),
        (0o701, 0o604, ["chmod 700 {folder}", "chmod 600 {file}"]),
    ],
)
def test_what_others_can_read_is_told_with_the_cure(tmp_path: Path, folder: int, file: int, said: list[str]) -> None:
    kept = tmp_path / "shelf.sqlite3"
    kept.touch()
    kept.chmod(file)
    tmp_path.chmod(folder)
    found = checks.open_to_others(kept)
    assert {one.id for one in found} <= {"shelf.W006"}
    assert [str(one.hint) for one in found] == [f"Run: {one.format(folder=tmp_path, file=kept)}" for one in said]


def test_a_loose_file_is_a_warning_and_stops_nothing(tmp_path: Path) -> None:
    migrate = (
        "from django.core.management import execute_from_command_line as run; run(['manage.py', 'migrate', '-v0'])"
    )
    run(migrate, SHIMSHELF_DATA=str(tmp_path / "kept"))
    (tmp_path / "kept" / "shelf.sqlite3").chmod(0o644)
    check = "from django.core.management import execute_from_command_line as run; import sys; sys.stderr = sys.stdout;"
    said = run(f"{check} run(['manage.py', 'check', '--database', 'default'])", SHIMSHELF_DATA=str(tmp_path / "kept"))
    assert "shelf.W006" in said and "chmod 600" in said
