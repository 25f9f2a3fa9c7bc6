"""In which columns the catalogue keeps the measures of a kind of part."""

from __future__ import annotations

from functools import reduce
from operator import add
from typing import Any

from django.db.models import ExpressionWrapper, F, IntegerField, Model

from inventory.catalogue.kinds.bands import Band
from inventory.catalogue.kinds.bushes import Bush
from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.kinds.orings import ORing
from inventory.catalogue.kinds.pistons import Piston
from inventory.catalogue.kinds.seal_heads import SealHead
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.kinds.washers import Washer

# {kind: (table, {measure: column, or columns with their factors})}
Column = str | tuple[tuple[str, int], ...]
TABLES: dict[str, tuple[type[Model], dict[str, Column]]] = {
    "shim": (Shim, {"od_mm": "od_um", "id_mm": "bore_um", "thickness_mm": "thickness_um"}),
    "nut": (Nut, {"across_flats_mm": "across_flats_um", "height_mm": "height_um"}),
    "washer": (Washer, {"od_mm": "outer_um", "id_mm": "inner_um", "height_mm": "height_um"}),
    "piston": (Piston, {"od_mm": "outer_um", "id_mm": "bore_um", "height_mm": "height_um"}),
    "oring": (
        ORing,
        {"id_mm": "ring_id_um", "section_mm": "section_um", "od_mm": (("ring_id_um", 1), ("section_um", 2))},
    ),
    "band": (
        Band,
        {
            "bore_mm": "for_bore_um",
            "height_mm": "width_um",
            "thickness_mm": "band_thickness_um",
            "id_mm": (("for_bore_um", 1), ("band_thickness_um", -2)),
        },
    ),
    "seal_head": (SealHead, {"od_mm": "body_um", "id_mm": "shaft_um", "height_mm": "height_um"}),
    "bush": (
        Bush,
        {
            "od_mm": "outer_um",
            "id_mm": "inner_um",
            "height_mm": "length_um",
            # Twice the wall, so that it stays whole.
            "thickness_mm": (("outer_um", 1), ("inner_um", -1)),
        },
    ),
}
HALVED = ("bush", "thickness_mm")


def sum_of(columns: tuple[tuple[str, int], ...]) -> Any:
    """The columns, each times its factor, added up."""
    return ExpressionWrapper(reduce(add, (F(name) * factor for name, factor in columns)), output_field=IntegerField())
