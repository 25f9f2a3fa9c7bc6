"""The forms of deliveries: starting one, a line of one, undoing a line."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.conf import settings

from inventory.catalogue.models import Part
from inventory.common import clock
from inventory.counter.browsing.sheets import Day
from inventory.counter.forms import CommandSheet, Line, Pieces, Thicknesses, mark_optional, sentence
from inventory.counter.taking_in.part_choosing import Meant, meant
from inventory.receiving.selectors import usual_drawer
from inventory.receiving.undoing import LONGEST_REASON
from inventory.stock import cure_dates
from inventory.stock.models import Condition, Drawer

# More pieces than this in one line are asked about: a scanned number is no count.
MOST_UNASKED = 2000
PASSED_OVER = "data-passed-over"
CONDITIONS = [(Condition.NEW, "New"), (Condition.TAKE_OFF, "Take-off, taken off a damper")]
# What belongs to the bag, and so to its part.
OF_BAG = ("readings", "condition", "cure_date", "lot", "source", "unit_cost")
COST = re.compile(r"(\d{1,9})(?:[.,](\d{1,2}))?", re.ASCII)


class StartDelivery(CommandSheet):
    """Something that arrived."""

    number = Line(label="Delivery number")
    supplier = Line(label="Supplier", most=80, required=False)
    received_on = Day(label="Received on")
    note = Line(label="Note", most=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["supplier"].widget.attrs["list"] = "suppliers"
        for name in ("supplier", "note"):
            mark_optional(self.fields[name])

    def clean_received_on(self) -> Any:
        day = self.cleaned_data["received_on"]
        if not clock.can_have_come_in(day, clock.today()):
            raise forms.ValidationError(f"It must lie between {clock.FIRST_DAY.year} and today.")
        return day


class Cost(forms.Field):
    """An amount of money with a decimal point or comma; whole hundredths when cleaned, None when empty."""

    def to_python(self, value: Any) -> int | None:
        text = str(value or "").strip()
        if not text:
            return None
        found = COST.fullmatch(text)
        if found is None:
            raise forms.ValidationError("It must be an amount with at most two decimals, as in 0,85; without a sign.")
        return int(found[1]) * 100 + int((found[2] or "").ljust(2, "0"))


class TakeLine(CommandSheet):
    """One lot of a delivery. Cleaned: `part` is the part itself, `drawer` the code of the drawer it goes into.

    `typed_for` says for which part readings, condition and cure date were typed: they are another bag's once another
    part stands there. `filled` says which drawer the page put in by itself: it counts as not typed, because it belongs
    to the part that stood there then. `make_drawer` names a new drawer that somebody was asked about, `sure_count` a
    large count.
    """

    part = Line(label="Part")
    quantity = Pieces(label="Count", error_messages={"required": "Now the count."})
    drawer = Line(label="Drawer", most=20, required=False)
    readings = Thicknesses(label="Readings, mm", required=False)
    ask_drawer = forms.BooleanField(label="Stop at the drawer", required=False)
    ask_readings = forms.BooleanField(label="Stop at the readings", required=False)
    lot = Line(
        label="Lot number",
        help_text="Empty: made from the delivery's number and the line's.",
        required=False,
    )
    condition = forms.ChoiceField(label="Condition", choices=CONDITIONS, initial=Condition.NEW)
    cure_date = Line(label="Cure date", most=7, help_text="A quarter, as in 2026-Q3; for seals.", required=False)
    source = Line(label="Source", most=120, help_text="Where it comes from, or off which damper.", required=False)
    unit_cost = Cost(label="Cost of one", required=False)
    typed_for = forms.CharField(widget=forms.HiddenInput, required=False)
    filled = forms.CharField(widget=forms.HiddenInput, required=False)
    make_drawer = forms.CharField(widget=forms.HiddenInput, required=False)
    sure_count = forms.CharField(widget=forms.HiddenInput, required=False)
    meant: Meant

    def __init__(self, *args: Any, asks: frozenset[str] = frozenset(), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.meant = Meant()
        chosen = {name for name in ("ask_drawer", "ask_readings") if self.data.get(name)} or asks
        for name in ("drawer", "readings"):
            ask = f"ask_{name}"
            self.fields[ask].initial = ask in chosen
            self.fields[ask].widget.attrs["data-asks"] = f"id_{name}"
            if ask not in chosen:
                self.fields[name].widget.attrs[PASSED_OVER] = True
        self.fields["unit_cost"].label = f"Cost of one, {settings.CURRENCY}"
        self.fields["part"].widget.attrs["data-home"] = True
        for name in ("part", "drawer", "lot"):
            self.fields[name].widget.attrs.update({"autocapitalize": "characters", "spellcheck": "false"})

    def clean_part(self) -> Part | None:
        text = self.cleaned_data["part"]
        self.meant = meant(text)
        part = self.meant.part
        if part is not None and part.retired_at is not None:
            raise forms.ValidationError(f"{part.number} is retired; take its successor.")
        if part is None and self.meant.candidates:
            raise forms.ValidationError(f"{text} may be any of these; choose one.")
        if part is None:
            what = "There is no part of this size" if self.meant.size else f"There is no part {text}"
            raise forms.ValidationError(f"{what}. Scan it again, or make it.")
        return part

    def clean_cure_date(self) -> str:
        try:
            return cure_dates.read(str(self.cleaned_data["cure_date"]))
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from None

    def clean_quantity(self) -> int:
        pieces = int(self.cleaned_data["quantity"])
        sure = f"{pieces} of {str(self.data.get('part', '')).strip().casefold()}"
        if pieces > MOST_UNASKED and self.data.get("sure_count") != sure:
            self.keep(sure_count=sure)
            raise forms.ValidationError(f"Are there {pieces} in this one line? Send again if it is so, or correct it.")
        return pieces

    def clean(self) -> dict[str, Any]:
        found = self.cleaned_data
        part = found.get("part")
        if part is not None and self._is_of_another(part):
            self._take_out(part)
        if part is not None and "drawer" in found:
            try:
                found["drawer"] = self._drawer(part, found)
            except forms.ValidationError as error:
                self.add_error("drawer", error)
        return found

    def remember_part(self) -> None:
        """Notes for which part the bag's own fields were typed, so that they do not go with another one."""
        if self._of_bag() and not self.data.get("typed_for"):
            self.keep(typed_for=str(self.data.get("part", "")).strip())

    def _is_of_another(self, part: Part) -> bool:
        """Whether something in the row was typed for another part than the one that stands there now."""
        typed_for = str(self.data.get("typed_for", "")).strip()[:40]
        now = str(self.data.get("part", "")).strip()
        if not typed_for or typed_for.casefold() == now.casefold() or not self._of_bag():
            return False
        return meant(typed_for).part != part

    def _of_bag(self) -> dict[str, str]:
        """What was typed that belongs to one bag, by the labels of its fields."""
        typed = {name: str(self.data.get(name, "")).strip() for name in OF_BAG}
        if typed["condition"] == Condition.NEW:
            typed["condition"] = ""
        return {str(self.fields[name].label): text for name, text in typed.items() if text}

    def _take_out(self, part: Part) -> None:
        """Refuses the line, and empties what was typed for another part; the message keeps it readable."""
        words = ", ".join(f"{label.lower()} {text}" for label, text in self._of_bag().items())
        was = str(self.data.get("typed_for", "")).strip()[:40]
        self.add_error(
            "readings",
            f"Typed for {was}, and the part is {part.number} now: {words}. It is taken out of the row. Type what "
            "belongs to this bag, or send it without.",
        )
        self.keep(**dict.fromkeys(OF_BAG, ""), typed_for="")
        self.keep(condition=Condition.NEW)

    def _drawer(self, part: Part, found: dict[str, Any]) -> str:
        """The code of the drawer: the one typed, else where the part lies. Raises ValidationError to be asked about."""
        typed, filled = str(found["drawer"]), str(found.get("filled", ""))
        if not typed or typed.casefold() == filled.casefold():
            usual = usual_drawer(part=part, condition=found.get("condition", Condition.NEW))
            if not usual:
                self.keep(drawer="")
                raise forms.ValidationError("Where does it go? None of it lies in a drawer yet.")
            return usual
        known = list(Drawer.objects.filter(code__iexact=typed)[:2])
        code = next((drawer.code for drawer in known if drawer.code == typed), known[0].code if known else "")
        if code:
            return code
        if Part.objects.filter(number__iexact=typed).exists():
            raise forms.ValidationError(f"{typed} is the number of a part; scan or type the drawer's code.")
        if str(found.get("make_drawer", "")) != typed:
            self.keep(make_drawer=typed)
            raise forms.ValidationError(f"There is no drawer {typed} yet. Send again to make it, or correct it.")
        return typed

    @property
    def goes_on(self) -> bool:
        """Whether the row is right as far as it goes: only the count, and perhaps the drawer, is still empty."""
        typed = [self.data.get(name) for name in ("quantity", "drawer")]
        return bool(self.errors) and set(self.errors) <= {"quantity", "drawer"} and not any(typed)

    def fill_drawer(self, code: str) -> None:
        """Puts the part's usual drawer into a row that was not sent yet; where it stands it counts as not typed."""
        if not self.initial.get("drawer"):
            self.initial["drawer"] = code
        self.fields["drawer"].widget.attrs["data-filled"] = code


class UndoLine(CommandSheet):
    """Why a line is undone."""

    line = forms.IntegerField(widget=forms.HiddenInput)
    reason = Line(label="Why?", most=LONGEST_REASON)
