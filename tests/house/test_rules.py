"""Rules of the house that no ready-made tool checks."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.house.project import ROOT, every_node, files, imports, modules, place, tree

CLOCK = ROOT / "inventory" / "common" / "clock.py"
LOCKS = ROOT / "inventory" / "common" / "locks.py"
ENGINE = "compat/engineering"
# (owner, attribute): each reads the machine's clock past the one that tests can hold.
CLOCK_READS = {
    ("datetime", "now"),
    ("datetime", "utcnow"),
    ("datetime", "today"),
    ("date", "today"),
    ("timezone", "now"),
    ("timezone", "localdate"),
    ("timezone", "localtime"),
}
CLOCK_NAMES = {"django.utils.timezone.now", "django.utils.timezone.localdate", "django.db.models.functions.Now"}
MACHINE_PATH = re.compile(r"(?<![\w.])/(?:home|Users|root|work)/\w|[A-Z]:\\\\?Users")


def attribute(node: ast.AST) -> tuple[str, str]:
    """(owner, name) of `owner.name` or `package.owner.name`, else two empty texts."""
    if not isinstance(node, ast.Attribute):
        return "", ""
    owner = node.value
    name = owner.id if isinstance(owner, ast.Name) else owner.attr if isinstance(owner, ast.Attribute) else ""
    return name, node.attr


def nodes(paths: list[Path], wanted: Callable[[ast.AST], bool]) -> list[str]:
    return [place(path, node) for path in paths for node in every_node(path) if wanted(node)]


def reads_clock(node: ast.AST) -> bool:
    # auto_now and auto_now_add read it too, unseen.
    return attribute(node) in CLOCK_READS or (isinstance(node, ast.keyword) and str(node.arg).startswith("auto_now"))


def locks_rows(node: ast.AST) -> bool:
    return attribute(node)[1] == "select_for_update"


def test_only_the_locks_module_locks_rows() -> None:
    assert nodes([path for path in modules() if path != LOCKS], locks_rows) == []


def looks_at_password(node: ast.AST) -> bool:
    """Whether a password is compared: past people/passwords.py nobody would count the wrong ones."""
    names = {"check_password", "acheck_password", "authenticate", "aauthenticate"}
    return attribute(node)[1] in names or (isinstance(node, ast.Name) and node.id in names)


def test_a_password_is_looked_at_in_one_place_and_a_pin_in_another() -> None:
    found = {line.partition(":")[0] for line in nodes(list(modules()), looks_at_password)}
    assert found == {"inventory/people/passwords.py", "inventory/people/pins.py"}


@pytest.mark.parametrize("line", ["auth.authenticate(request)", "check_password(a, b)", "person.check_password(a)"])
def test_a_second_look_at_a_password_would_be_seen(line: str) -> None:
    assert any(looks_at_password(node) for node in ast.walk(ast.parse(line)))


def test_every_row_lock_is_one_that_leaves_foreign_key_checks_alone() -> None:
    calls = [node for node in ast.walk(tree(LOCKS)) if isinstance(node, ast.Call) and locks_rows(node.func)]
    assert calls
    for call in calls:
        words = {word.arg: ast.unparse(word.value) for word in call.keywords}
        assert words.get("no_key") == "True", place(LOCKS, call)
        assert words.get("of") == "('self',)", place(LOCKS, call)


def test_only_the_clock_module_reads_the_clock() -> None:
    others = [path for path in modules() if path != CLOCK]
    assert nodes(others, reads_clock) == []
    assert [(place(path), name) for path in others for name in imports(path) if name in CLOCK_NAMES] == []


@pytest.mark.parametrize(
    "line",
    [
        "datetime.now(UTC)",
        "datetime.datetime.now()",
        "timezone.now()",
        "F(default=timezone.now)",
        "F(auto_now_add=True)",
    ],
)
def test_a_second_clock_would_be_seen(line: str) -> None:
    assert any(reads_clock(node) for node in ast.walk(ast.parse(line)))


def test_the_engine_imports_nothing_but_the_standard_library_numpy_and_itself() -> None:
    allowed = sys.stdlib_module_names | {"numpy"}
    wrong = [
        f"{place(path)}: {name}"
        for path in modules(ENGINE)
        for name in imports(path)
        if name.partition(".")[0] not in allowed and not name.startswith("compat.engineering.")
    ]
    assert wrong == []


@pytest.mark.parametrize(
    "door", ["os", "pathlib", "io", "socket", "subprocess", "sqlite3", "time", "random", "secrets"]
)
def test_the_engine_reaches_neither_files_nor_clock_nor_chance(door: str) -> None:
    assert [place(path) for path in modules(ENGINE) for name in imports(path) if name.split(".")[0] == door] == []


def test_the_project_never_imports_its_tests() -> None:
    wrong = [place(path) for path in modules() for name in imports(path) if name.partition(".")[0] == "tests"]
    assert wrong == []


def test_locks_hold_no_addresses() -> None:
    locks = sorted(ROOT.glob("*.lock"))
    assert [path.name for path in locks] == ["requirements-dev.lock", "requirements.lock"]
    for path in locks:
        assert "://" not in path.read_text(), path.name


def texts() -> Iterator[tuple[Path, str]]:
    for path in files():
        try:
            yield path, path.read_text()
        except UnicodeDecodeError:
            continue


def test_no_file_names_a_place_on_one_machine() -> None:
    here = str(ROOT)
    # A checkout directly below / has a name that ordinary addresses may contain.
    own = re.compile(rf"{re.escape(here)}(?![\w-])") if here.count("/") > 1 else MACHINE_PATH
    wrong = [place(path) for path, text in texts() if MACHINE_PATH.search(text) or own.search(text)]
    assert wrong == []


@pytest.mark.parametrize("part", ["home", "Users", "root", "work"])
def test_a_place_on_one_machine_would_be_seen(part: str) -> None:
    assert MACHINE_PATH.search(f'open("/{part}/somebody/file")')
    assert not MACHINE_PATH.search(f"docs/{part}/somebody")


def test_gitignore_holds_plain_names_only() -> None:
    # tests/house/project.py leaves out what it names, and reads nothing cleverer than names.
    lines = (ROOT / ".gitignore").read_text().split()
    assert [line for line in lines if not re.fullmatch(r"/?[\w.]+/?|\*\.pyc", line)] == []


def test_no_comment_of_a_template_spans_lines() -> None:
    """Django takes a comment of one line only; the rest of a longer one would stand on the page."""
    places = ("inventory/templates", "compat/templates", "compat/questions")
    templates = [path for place in places for path in (ROOT / place).rglob("*.html")]
    assert len(templates) > 50
    spanning = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in templates
        for number, line in enumerate(path.read_text().splitlines(), start=1)
        if line.count("{#") != line.count("#}")
    ]
    assert not spanning


# Where withdrawn readings are shown, and where they are withdrawn; anywhere else only those that count are read.
READERS_OF_EVERY = {"inventory/stock/browsing.py", "inventory/stock/withdrawing.py", "inventory/stock/models.py"}


def passes_by_the_readings_that_count(node: ast.AST) -> bool:
    """`Reading.every`, a manager below the one that filters, a lookup through the table, or the table by its name."""
    if isinstance(node, ast.Attribute):
        return node.attr == "_base_manager" or attribute(node) == ("Reading", "every")
    words = [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []
    words += [str(node.arg)] if isinstance(node, ast.keyword) else []
    return any(re.search(r"\breadings?__(?!um)|\binventory_reading\b", word) for word in words)


def test_nothing_computed_reads_withdrawn_readings() -> None:
    others = [path for path in modules() if place(path) not in READERS_OF_EVERY and "migrations" not in path.parts]
    assert nodes(others, passes_by_the_readings_that_count) == []


@pytest.mark.parametrize(
    "line",
    [
        "Reading.every.all()",
        "Reading._base_manager",
        "Lot.objects.filter(readings__thickness_um=1)",
        "x('readings__id')",
    ],
)
def test_a_reader_of_withdrawn_readings_would_be_seen(line: str) -> None:
    assert any(passes_by_the_readings_that_count(node) for node in ast.walk(ast.parse(line)))
