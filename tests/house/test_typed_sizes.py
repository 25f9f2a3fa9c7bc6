"""The page of typed sizes is the table of the reader."""

from __future__ import annotations

from tests.house.rewrite_sizes import PAGE, page


def test_the_reference_of_typed_sizes_is_the_reader_s_own_table() -> None:
    """Write it anew with: .venv/bin/python -m tests.house.rewrite_sizes"""
    assert PAGE.read_text(encoding="utf-8") == page()
