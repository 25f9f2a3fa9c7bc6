"""The project's own files, and what their Python says, for the house rules."""

from __future__ import annotations

import ast
import functools
import os
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def ignored() -> set[str]:
    """Names that .gitignore keeps out. Its lines are plain names here, and a test says so."""
    lines = (ROOT / ".gitignore").read_text().split()
    return {".git", *(line.strip("/") for line in lines if not line.startswith("*"))}


def files() -> Iterator[Path]:
    """Every file that belongs to the project."""
    out = ignored()
    for folder, folders, names in os.walk(ROOT):
        folders[:] = sorted(name for name in folders if name not in out)
        yield from (Path(folder, name) for name in sorted(names) if name not in out and not name.endswith(".pyc"))


def modules(*rooms: str) -> list[Path]:
    """The Python files below these rooms, migrations left out; without rooms those of the whole project but tests."""
    top = rooms or ("inventory", "compat", "start.py", "manage.py")
    found = [
        path
        for path in files()
        if path.suffix == ".py"
        and any(path.is_relative_to(ROOT / room) for room in top)
        and "migrations" not in path.parts
    ]
    assert found, f"no module below {', '.join(top)}"
    return found


@functools.cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(), filename=str(path))


@functools.cache
def every_node(path: Path) -> tuple[ast.AST, ...]:
    """All of a module's tree, walked once for all the rules that look at each."""
    return tuple(ast.walk(tree(path)))


def imports(path: Path) -> Iterator[str]:
    """Full dotted names of what a module imports, wherever in the module it does."""
    for node in every_node(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            parts = path.relative_to(ROOT).with_suffix("").parts
            base = ".".join(parts[: len(parts) - node.level]) + "." if node.level else ""
            yield from (f"{base}{node.module or ''}.{alias.name}".replace("..", ".") for alias in node.names)


def place(path: Path, node: ast.AST | None = None) -> str:
    """`folder/module.py:line`, as editors open it."""
    line = getattr(node, "lineno", None)
    return f"{path.relative_to(ROOT)}{f':{line}' if line else ''}"
