"""Texts of the search for rings on the shelf; those of rings in glands stand in `compat/texts/seals.py`."""

from __future__ import annotations

METHODS: dict[str, str] = {
    "rings-for-gland": (
        "Every ring on the shelf is put into the gland at every corner of the tolerances, as in the O-ring question, "
        "and ranked: those that fit first, then by how far the worst corner is from a limit. A ring whose nominal "
        "sizes break a limit is left out, and so are used rings; compound and shelf life are said beside each."
    ),
}
