"""The head of a fit question: sizes taken from a damper model or from a part on the shelf, to be looked through."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from django import forms
from django.http import QueryDict

from compat.pages.fit import prefill
from compat.pages.fit.fit_forms import VALVES, Question
from compat.pages.fit.valve_blanks import SIDES
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.counter.forms import Line, Sheet
from inventory.dampers.models import DamperModel, StackRevision
from inventory.dampers.selectors import Damper, damper_called, damper_row, latest_stacks

MOST_SUGGESTED = 300
PICKED = ("damper", "valve", "side", "stack", "part")


class Taking(Sheet):
    """Which model, valve, side, saved stack or part to take sizes from, and what they tell."""

    def __init__(self, asked: Question, data: QueryDict) -> None:
        super().__init__(data)
        self.asked = asked
        self.taken: list[prefill.Taken] = []
        self.model: Damper | None = None
        self.trouble: list[DomainError] = []
        self.picked = {name: data.get(name, "").strip() for name in PICKED}
        stacks = self._from_damper() if self.picked["damper"] else []
        if self.picked["part"] and asked.part_kind:
            self._from_part()
        self._add_fields(stacks)

    def clean(self) -> dict[str, Any]:
        for error in self.trouble:
            self.refuse(error, part="part") if error.errors else self.add_error("part", error.text)
        return dict(self.cleaned_data)

    def values(self) -> dict[str, str]:
        """What was taken, as text by field name."""
        return {name: text for taken in self.taken for name, text in taken.values.items()}

    def sources(self) -> dict[str, tuple[str, str]]:
        """{field name: (what was taken into it, from where)}."""
        return {name: (text, taken.source) for taken in self.taken for name, text in taken.values.items()}

    def filled(self, data: QueryDict) -> QueryDict:
        """What was sent with what is taken put into what is empty, or was taken earlier; what was typed stays."""
        filled = data.copy()
        for name, text in self._earlier(data.get("was", "")).items():
            if filled.get(name) == text:
                filled[name] = ""
        for name, text in self.values().items():
            if not filled.get(name, "").strip():
                filled[name] = text
        return filled

    def was(self) -> str:
        """The picks as one text, so that the next sending knows what had been taken."""
        picked = QueryDict(mutable=True)
        picked.update({name: value for name, value in self.picked.items() if value})
        return picked.urlencode()

    def suggested(self) -> list[str]:
        """Numbers of parts that the question takes."""
        if not self.asked.part_kind:
            return []
        parts = Part.objects.filter(kind=self.asked.part_kind, retired_at=None).order_by("number")
        return list(parts.values_list("number", flat=True)[:MOST_SUGGESTED])

    def _earlier(self, was: str) -> dict[str, str]:
        return Taking(self.asked, QueryDict(was)).values() if was and len(was) < 1000 else {}

    def _from_damper(self) -> list[StackRevision]:
        """Looks the model up; one that does not exist is no choice of its field, which says so."""
        try:
            self.model = damper_called(self.picked["damper"])
            valve = self.picked["valve"] if "valve" in self.asked.takes else ""
            told = prefill.from_damper(
                self.asked.slug, self.asked.blanks, self.model, valve=valve, side=self.picked["side"]
            )
            self.taken.append(told)
        except DomainError as error:
            self.trouble += [error] if error.errors else []
        if self.model is None or "stack" not in self.asked.takes:
            return []
        stacks = latest_stacks(damper_row(self.model.code))
        for one in stacks:
            if one.stack.name == self.picked["stack"]:
                with suppress(DomainError):
                    self.taken.append(prefill.from_stack(self.asked.slug, self.model, one))
        return stacks

    def _from_part(self) -> None:
        try:
            part = prefill.part_called(self.picked["part"], self.asked.part_kind)
            self.taken.append(prefill.from_part(self.asked.slug, self.asked.blanks, part))
        except DomainError as error:
            self.trouble.append(error)

    def _add_fields(self, stacks: list[StackRevision]) -> None:
        rows = DamperModel.objects.filter(retired_at=None).order_by("code").values_list("code", "name")
        self._choice(
            "damper", "A damper model", [("", "no model"), *((code, f"{code}  {name}") for code, name in rows)]
        )
        if "valve" in self.asked.takes:
            self._choice("valve", "Valve", [("", "its first valve"), *VALVES])
        if "side" in self.asked.takes:
            self._choice("side", "Side", [(side, side) for side in SIDES])
        if stacks:
            names = [one.stack.name for one in stacks]
            self._choice("stack", "A saved stack", [("", "no saved stack"), *((name, name) for name in names)])
        if self.asked.part_kind:
            self.fields["part"] = Line(label=f"A {self.asked.part_kind} on the shelf, by its number", required=False)
            self.fields["part"].widget.attrs["list"] = "parts"

    def _choice(self, name: str, label: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name] = forms.ChoiceField(label=label, choices=choices, required=False)
