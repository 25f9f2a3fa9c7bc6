"""The head of a fit question: sizes taken from a damper model or from a part on the shelf, to be looked through."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.http import QueryDict

from compat.asking.requests import blanks_with, open_rows
from compat.pages.fit import prefill
from compat.pages.fit.carried import Carried, read_carried, same, unit_of, write_carried
from compat.pages.fit.fit_forms import Question
from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, invalid
from inventory.counter.forms import Line, Sheet
from inventory.dampers.models import DamperModel, StackRevision
from inventory.dampers.selectors import Damper, damper_called, damper_row, latest_stacks
from inventory.dampers.words import SIDES, VALVES

MOST_SUGGESTED = 300
PICKED = ("damper", "valve", "side", "stack", "part", "place")


class Taking(Sheet):
    """Which model, valve, side, saved stack or part to take sizes from, what they tell, and what was taken earlier.

    `carried` is what stands in the form because it was taken, field by field; it comes back with each sending, so
    that a size keeps its source whatever is picked meanwhile.
    """

    def __init__(self, asked: Question, data: QueryDict) -> None:
        self.asked = asked
        self.taken: list[prefill.Taken] = []
        self.model: Damper | None = None
        self.trouble: list[DomainError] = []
        self.was = data.get("was", "")
        self.carried: Carried = read_carried(data.get("taken", ""))
        self.picked = {name: data.get(name, "").strip() if asked.of_model else "" for name in PICKED}
        stacks = self._from_damper() if self.picked["damper"] else []
        if self.picked["part"] and asked.part_kind:
            self._from_part()
        self.places = asked.room.model.places if asked.room.model else None
        self.elsewhere = self._lies_elsewhere()
        if self.elsewhere:
            self.taken = self.taken[1:]
        shown = data.copy()
        shown["stack"] = self.picked["stack"]
        super().__init__(shown)
        self._add_fields(stacks)

    def clean(self) -> dict[str, object]:
        for error in self.trouble:
            # What a question has no field for is the model's fault: this model cannot be asked it.
            placed = {one.field: "damper" for one in error.errors if one.field not in self.fields}
            self.refuse(error, **placed) if error.errors else self.add_error("part", error.text)
        return dict(self.cleaned_data)

    def picks(self) -> str:
        """What is picked as one text; empty where nothing is taken from anywhere."""
        found = QueryDict(mutable=True)
        if self.picked["damper"]:
            known = ("damper", *self.asked.desk.takes, *(("valve",) if self.asked.names_valve else ()))
            found.update({name: self.picked[name] for name in known if self.picked[name]})
        if self.picked["part"] and self.asked.part_kind:
            found["part"] = self.picked["part"]
        if self.picked["place"] and self.places is not None:
            found["place"] = self.picked["place"]
        return found.urlencode()

    @property
    def where_it_goes(self) -> str:
        """In which of a model's places a part is judged; empty where there is but one."""
        if self.places is None or self.model is None:
            return ""
        return self.places.said(self.model.code, self.elsewhere)

    def _lies_elsewhere(self) -> bool:
        """Whether the part picked is the one that the model has elsewhere, and nobody said where it goes."""
        if self.places is None or self.model is None or self.picked["place"] or len(self.taken) < 2:
            return False
        return prefill.lies_elsewhere(self.asked, self.places, self.model.document, self.taken[-1])

    @property
    def is_new(self) -> bool:
        """Whether something is picked whose sizes were not taken yet."""
        return self.picks() not in ("", self.was)

    def rows_with(self, sent: Mapping[str, int]) -> dict[str, int]:
        """How many rows of each open list there are, of those that were taken and those that were sent."""
        return {name: max([rows, *(taken.rows.get(name, 0) for taken in self.taken)]) for name, rows in sent.items()}

    def filled(self, data: QueryDict) -> QueryDict:
        """What was sent, with what is taken put into what is empty or was taken earlier; what was typed stays."""
        filled = data.copy()
        if self.picks() and not self.taken:
            return filled
        for name, (text, _) in self.carried.items():
            if same(filled.get(name, ""), text):
                filled[name] = ""
        rows = self.rows_with(dict.fromkeys(open_rows(self.asked.room.request), 0))
        blanks = {blank.name: blank for blank in blanks_with(self.asked.room.request, rows)}
        typed = {
            unit_of(name) for name, blank in blanks.items() if blank.kind != "choice" and filled.get(name, "").strip()
        }
        carried = {}
        # What several tell, the last one tells: a part of the shelf goes before its model.
        teller = {unit_of(name): taken for taken in self.taken for name in taken.values}
        for taken in self.taken:
            for name, text in taken.values.items():
                if unit_of(name) not in typed and teller[unit_of(name)] is taken:
                    filled[name] = text
                    if blanks[name].kind != "choice":
                        carried[name] = (text, taken.origin(name))
        self.carried, self.was = carried, self.picks()
        return filled

    def carried_text(self) -> str:
        """What was taken from where, to be sent along."""
        return write_carried(self.carried)

    def named(self) -> str:
        """The model with its stack, and the part, that are picked."""
        model, stack = self.picked["damper"], self.picked["stack"]
        with_stack = f"{model} with its stack {stack}" if model and stack else model
        return " and ".join(name for name in (with_stack, self.picked["part"]) if name)

    def suggested(self) -> list[str]:
        """Numbers of parts that the question takes."""
        if not self.asked.part_kind:
            return []
        parts = Part.objects.filter(kind=self.asked.part_kind, retired_at=None).order_by("number")
        return list(parts.values_list("number", flat=True)[:MOST_SUGGESTED])

    def _from_damper(self) -> list[StackRevision]:
        """Looks the model up; one that does not exist is no choice of its field, which says so."""
        try:
            self.model = damper_called(self.picked["damper"])
        except DomainError:
            return []
        stacks = latest_stacks(damper_row(self.model.code)) if "stack" in self.asked.desk.takes else []
        saved = next((one for one in stacks if one.stack.name == self.picked["stack"]), None)
        if saved is None and QueryDict(self.was).get("damper", "") != self.model.code:
            # Another model's stack: it was picked before this model was.
            self.picked["stack"] = ""
        try:
            self._take(self.model, saved)
        except DomainError as error:
            self.trouble.append(error)
        return stacks

    def _take(self, model: Damper, saved: StackRevision | None) -> None:
        asked = self.asked
        valve = self.picked["valve"] if "valve" in asked.desk.takes or asked.names_valve else ""
        if "side" in asked.desk.takes:
            self.picked["side"] = self.picked["side"] or SIDES[0]
        if asked.names_valve:
            codes = model.document.codes
            valve = self.picked["valve"] = saved.stack.valve if saved is not None else valve or codes[0]
        self.taken.append(prefill.from_damper(asked, model, valve=valve, side=self.picked["side"]))
        if saved is not None:
            try:
                self.taken.append(prefill.from_stack(asked, model, saved))
            except DomainError as error:
                said = " ".join(one.message for one in error.errors) or error.text
                raise invalid("stack", f"“{saved.stack.name}” cannot be taken: {said}") from None

    def _from_part(self) -> None:
        try:
            part = prefill.part_called(self.picked["part"], self.asked.part_kind)
            self.taken.append(prefill.from_part(self.asked, part))
        except DomainError as error:
            self.trouble.append(error)

    def _add_fields(self, stacks: list[StackRevision]) -> None:
        if not self.asked.of_model:
            return
        rows = DamperModel.objects.filter(retired_at=None).order_by("code").values_list("code", "name")
        self._choice(
            "damper", "A damper model", [("", "no model"), *((code, f"{code}  {name}") for code, name in rows)]
        )
        if "valve" in self.asked.desk.takes:
            self._choice("valve", "Valve", [("", "its first valve"), *((code, code) for code in VALVES)])
        if "side" in self.asked.desk.takes:
            self._choice("side", "Side", [(side, side) for side in SIDES])
        if stacks:
            names = [one.stack.name for one in stacks]
            self._choice("stack", "A saved stack", [("", "no saved stack"), *((name, name) for name in names)])
        if self.places is not None and self.model is not None:
            self._choice("place", self.places.label, [("", "where the model has it"), *self.places.choices])
        if self.asked.part_kind:
            title = KINDS[self.asked.part_kind].title
            named = title if title.startswith("O-") else title.lower()
            article = "An" if named[0] in "AEIOaeio" else "A"
            self.fields["part"] = Line(label=f"{article} {named} on the shelf, by its number", required=False)
            self.fields["part"].widget.attrs["list"] = "parts"

    def _choice(self, name: str, label: str, choices: list[tuple[str, str]]) -> None:
        field = forms.ChoiceField(label=label, choices=choices, required=False)
        field.widget.attrs["data-enter-presses"] = True
        self.fields[name] = field
