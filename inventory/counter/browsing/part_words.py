"""Sizes as people say them: one line for a part, with units."""

from __future__ import annotations

from django.db.models import Model

from inventory.catalogue.kinds.bands import Band
from inventory.catalogue.kinds.bushes import Bush
from inventory.catalogue.kinds.fluids import Fluid
from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.kinds.orings import ORing
from inventory.catalogue.kinds.pistons import Piston
from inventory.catalogue.kinds.registry import Kind, Length
from inventory.catalogue.kinds.seal_heads import SealHead
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.kinds.washers import Washer
from inventory.common.quantities import mm_text, short_mm


def size_line(row: Model) -> str:
    """The sizes of a part in one line; `row` is its row in the table of its kind."""
    match row:
        case Shim():
            form = "" if row.form == "round" else f", {row.form}"
            return f"{short_mm(row.od_um)} x {mm_text(row.thickness_um)} mm, bore {short_mm(row.bore_um)} mm{form}"
        case Nut():
            hand = "" if row.hand == "right" else f", {row.hand} hand"
            return f"{row.thread}{hand}, {short_mm(row.height_um)} mm high"
        case Washer():
            role = row.role.replace("_", " ")
            sizes = " x ".join(short_mm(um) for um in (row.outer_um, row.inner_um, row.height_um))
            return f"{role} {sizes} mm"
        case Piston():
            sizes = " x ".join(short_mm(um) for um in (row.outer_um, row.bore_um, row.height_um))
            return f"{sizes} mm"
        case ORing():
            number = "" if row.size == "none" else f"{row.size}, "
            rubber = " ".join(_known(row.compound, row.hardness))
            return ", ".join([f"{number}{short_mm(row.ring_id_um)} x {short_mm(row.section_um)} mm", *_known(rubber)])
        case Band():
            sizes = f"{short_mm(row.width_um)} x {short_mm(row.band_thickness_um)} mm"
            return ", ".join([f"bore {short_mm(row.for_bore_um)} mm, {sizes}", *_known(row.material)])
        case SealHead():
            shaft, body = short_mm(row.shaft_um), short_mm(row.body_um)
            return f"shaft {shaft} mm, body {body} mm, {short_mm(row.height_um)} mm high"
        case Bush():
            sizes = " x ".join(short_mm(um) for um in (row.inner_um, row.outer_um, row.length_um))
            return ", ".join([f"{sizes} mm", *_known(row.inner_class, row.outer_class)])
        case Fluid():
            base = "" if row.base == "other" else row.base
            return ", ".join(_known(row.use, base, row.grade))
    return str(row)


def _known(*words: str) -> list[str]:
    """Those of the words that say something, as people read them."""
    return [word.replace("_", " ") for word in words if word not in ("", "unknown")]


def size_facts(kind: Kind, row: Model) -> list[tuple[str, str]]:
    """(meaning, value with its unit) of every size of a part that is known."""
    found = []
    for size in kind.sizes:
        value = getattr(row, size.column)
        if value is None:
            text = "not known"
        elif isinstance(size, Length):
            thin = size.name == "thickness_mm"
            text = f"{mm_text(value) if thin else short_mm(value)} mm"
        else:
            text = str(value).replace("_", " ")
        found.append((size.meaning if isinstance(size, Length) else size.name.replace("_", " "), text))
    return found
