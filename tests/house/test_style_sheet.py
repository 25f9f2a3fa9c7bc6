"""What the style sheet keeps to, so that a test may look at colours once."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tests.house.project import ROOT

SHEET = ROOT / "inventory" / "static" / "inventory" / "shimshelf.css"
COLOURED = re.compile(r"(?:^|[;{\s])((?:[a-z-]*color|background)\s*:[^;}]*)")


def blocks(text: str) -> Iterator[tuple[str, str]]:
    """(condition, content) of every @media block."""
    for found in re.finditer(r"@media([^{]*)\{", text):
        depth, end = 1, found.end()
        while depth:
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        yield found[1], text[found.end() : end - 1]


def test_no_colour_depends_on_the_width() -> None:
    """But that of the labels which stand before stacked cells."""
    wide = [(condition, content) for condition, content in blocks(SHEET.read_text()) if "width" in condition]
    assert len(wide) > 5
    for condition, content in wide:
        for rule in re.findall(r"([^{}]+)\{([^{}]*)\}", content):
            if COLOURED.search(rule[1]):
                assert rule[0].strip().endswith("::before"), f"{condition.strip()}: {rule[0].strip()}"
