"""Measured lengths as people write them: `12`, `12,5`, `11.97..12.00`, `11.97-12`, `12 ±0.02`, `11.97..12 (11.99)`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from inventory.common import quantities
from inventory.common.sizes.numbers import LONGEST, NUMBER, TO, WITHIN, plain, single
from inventory.counter.forms import sentence
from inventory.documents.lengths import Length as Told

MOST_DECIMALS = 20  # what any number of a request needs to be written in full
ONE = re.compile(NUMBER)
LIMITS = re.compile(rf"(?P<low>{NUMBER})\s*+{TO}\s*+(?P<high>{NUMBER})(?:\s*+\(\s*+(?P<best>{NUMBER})\s*+\))?")
AROUND = re.compile(rf"(?P<best>{NUMBER})\s*+{WITHIN}\s*+(?P<spread>{NUMBER})")
SHAPES = "Type a length as in 12 or 12,5, or its limits as in 11.97..12.00 or 12 \u00b10.02, in millimetres."

FIGURES = "Type a number as in 1.25 or 1,25, or its limits as in 1.5..2.5 or 2 \u00b10.5."

Length = float | dict[str, float]


def read_length(text: str) -> Length | None:
    """A typed length in the form of the API, millimetres: a number, {min, max} or {min, max, nominal}; None for none.

    Raises ValueError with a sentence for what cannot be read.
    """
    text = text.strip()
    if len(text) > LONGEST:
        raise ValueError(SHAPES)
    if (one := single(text)) is not None:
        return _mm(one)
    typed = plain(text).removesuffix("mm").strip()
    if not typed:
        return None
    if found := AROUND.fullmatch(typed):
        best, spread = _um(found["best"]), _um(found["spread"])
        if spread > best:
            raise ValueError("The part after \u00b1 is larger than the length itself. What was measured?")
        return {"min": (best - spread) / 1000, "max": (best + spread) / 1000, "nominal": best / 1000}
    found = LIMITS.fullmatch(typed)
    if found is None:
        raise ValueError(SHAPES)
    low, high = _um(found["low"]), _um(found["high"])
    if low > high:
        raise ValueError("The smaller limit comes first, as in 11.97..12.00.")
    limits = {"min": low / 1000, "max": high / 1000}
    if found["best"] is None:
        return limits
    best = _um(found["best"])
    if not low <= best <= high:
        raise ValueError("The value in brackets must lie within the limits, as in 11.97..12.00 (11.99).")
    return {**limits, "nominal": best / 1000}


def write_length(value: Mapping[str, float] | float | None) -> str:
    """A length in the form of the API as it would be typed; reading it gives the same length."""
    if value is None:
        return ""
    if not isinstance(value, Mapping):
        return _short(float(value))
    low, high = float(value["min"]), float(value["max"])
    middle = (low + high) / 2
    best = float(value.get("nominal", middle))
    if low == high:
        return _short(low)
    low_um, high_um, best_um = (round(mm * 1000) for mm in (low, high, best))
    whole = best_um / 1000 == best
    if whole and best_um - low_um == high_um - best_um:
        return f"{_short(best)} \u00b1{_short((high_um - best_um) / 1000)}"
    limits = f"{_short(low)}..{_short(high)}"
    return f"{limits} ({_short(best)})" if whole else limits


def write_number(value: float | None) -> str:
    """A plain number as it would be typed, with all of its decimals; reading it gives the same number."""
    if value is None:
        return ""
    # By its shortest text: the digits of the float itself would show what it cannot hold.
    return f"{Decimal(repr(float(value))):.{MOST_DECIMALS}f}".rstrip("0").rstrip(".")


def read_figure(text: str) -> Length | None:
    """A typed figure that is no length, such as a torque, in the form of the API: a number, {min, max} or {min, max,
    nominal}; None for none. Limits are typed as those of a length are.

    Raises ValueError with a sentence for what cannot be read.
    """
    if len(text.strip()) > LONGEST:
        raise ValueError(FIGURES)
    typed = plain(text)
    if not typed:
        return None
    if ONE.fullmatch(typed):
        return float(_exact(typed))
    if found := AROUND.fullmatch(typed):
        best, spread = _exact(found["best"]), _exact(found["spread"])
        if spread > best:
            raise ValueError("The part after \u00b1 is larger than the figure itself. What was measured?")
        return {"min": float(best - spread), "max": float(best + spread), "nominal": float(best)}
    found = LIMITS.fullmatch(typed)
    if found is None:
        raise ValueError(FIGURES)
    low, high = _exact(found["low"]), _exact(found["high"])
    if low > high:
        raise ValueError("The smaller limit comes first, as in 1.5..2.5.")
    limits = {"min": float(low), "max": float(high)}
    if found["best"] is None:
        return limits
    if not low <= _exact(found["best"]) <= high:
        raise ValueError("The value in brackets must lie within the limits, as in 1.5..2.5 (2).")
    return {**limits, "nominal": float(_exact(found["best"]))}


def write_figure(value: Mapping[str, float] | float | None) -> str:
    """A figure in the form of the API as it would be typed; reading it gives the same figure."""
    if not isinstance(value, Mapping):
        return write_number(value)
    limits = f"{write_number(value['min'])}..{write_number(value['max'])}"
    best = value.get("nominal")
    middle = (Decimal(repr(float(value["min"]))) + Decimal(repr(float(value["max"])))) / 2
    # The middle is what limits alone are read as.
    return limits if best is None or float(best) == float(middle) else f"{limits} ({write_number(best)})"


def said_length(value: Told | Mapping[str, float] | float | None) -> str:
    """A length as it is said on a page, with its unit: `11.97 to 12 mm`."""
    if value is None:
        return ""
    if isinstance(value, Told):
        return said_length({"min": value.low, "max": value.high})
    if not isinstance(value, Mapping):
        return f"{_short(float(value))} mm"
    low, high = _short(float(value["min"])), _short(float(value["max"]))
    return f"{low} mm" if low == high else f"{low} to {high} mm"


class Measured(forms.Field):
    """A measured length; cleaned it has the form of the API, or is None when empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, **options)
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off", "spellcheck": "false", "class": "length"})

    def to_python(self, value: Any) -> Length | None:
        try:
            return read_length(str(value or ""))
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from None


class Figure(forms.Field):
    """A figure that is no length, read once or between two limits; cleaned it has the form of the API, or is None when
    empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, **options)
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off", "spellcheck": "false", "class": "length"})

    def to_python(self, value: Any) -> Length | None:
        try:
            return read_figure(str(value or ""))
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from None


class Millimetre(forms.Field):
    """A plain length such as a requirement; cleaned a number in millimetres, or None when empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, **options)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "length"})

    def to_python(self, value: Any) -> float | None:
        text = str(value or "").strip()
        if not text:
            return None
        typed = single(text)
        if typed is None:
            raise forms.ValidationError("Type a number in millimetres as in 0.5 or 0,5.")
        try:
            return _mm(typed)
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from None


class Reading(forms.Field):
    """A reading that is no length, such as a gauged pitch or a force; cleaned a number, or None when empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, **options)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "length"})

    def to_python(self, value: Any) -> float | None:
        typed = str(value or "").strip()
        if not typed:
            return None
        size = typed.removeprefix("-").removeprefix("\u2212")
        if not ONE.fullmatch(size):
            raise forms.ValidationError("Type a number as in 1.25 or 1,25.")
        return float(size.replace(",", ".")) * (1 if size == typed else -1)


def _exact(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def _um(text: str) -> int:
    return quantities.um_from_mm(text, comma=True)


def _mm(text: str) -> float:
    return _um(text) / 1000


def _short(mm: float) -> str:
    return quantities.short_mm(mm * quantities.UM_PER_MM)
