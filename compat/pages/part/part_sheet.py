"""The form by which a part is corrected; of its sizes those are fields that may still be told."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django import forms

from inventory.catalogue.kinds.registry import Kind, Length, Word
from inventory.counter.browsing.sheets import EditSheet
from inventory.counter.forms import Line
from inventory.stock.amending import RETIRED, STATE, PartEdit


class PartSheet(EditSheet):
    """Name, whether it is in use, and those sizes of its kind that are named in `sizes`."""

    name = Line(most=120, label="Name")
    retired = forms.BooleanField(required=False, label="Retired: nothing of it comes in or goes out any more")

    def __init__(self, *args: Any, kind: Kind, sizes: Collection[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sizes = [size for size in kind.sizes if size.name in sizes]
        for size in self.sizes:
            self.fields[size.name] = _field(size)
        self.order_fields(["name", *(size.name for size in kind.sizes), "retired", "reason"])

    def edit(self) -> PartEdit:
        """What was typed."""
        said = self.cleaned_data
        sizes = {size.name: said[size.name] for size in self.sizes}
        return PartEdit(said["name"], said["retired"], sizes or None)


def initial(reads: Mapping[str, str], read: str) -> dict[str, object]:
    """What the form shows at first; `reads` is part_reads() of the part, `read` its seen()."""
    return {**reads, "retired": reads[STATE] == RETIRED, "read": read}


def _field(size: Length | Word) -> forms.Field:
    label = size.name.removesuffix("_mm").replace("_", " ").capitalize()
    if isinstance(size, Length):
        # Its own kind judges the number, so that a size is read alike wherever it comes in.
        field = Line(most=20, required=False, label=f"{size.meaning.capitalize()}, mm")
        field.widget.attrs.update({"inputmode": "decimal", "class": "number"})
        return field
    if size.choices:
        choices = [(word, word.replace("_", " ")) for word in size.choices]
        return forms.ChoiceField(choices=choices, required=False, label=label)
    return Line(most=30, required=False, label=label, help_text=size.meaning.capitalize() + ".")
