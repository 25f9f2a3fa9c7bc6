"""Lengths as whole micrometres, money as whole minor units: never floats in the database."""

from __future__ import annotations

from decimal import Decimal

UM_PER_MM = 1000
LONGEST_UM = 10_000_000  # ten metres; anything longer is a slip of the unit
MOST_PIECES = 1_000_000
LONGEST_NUMBER = 40  # signs; no number of a request needs more to be written in full


def whole_number(text: str, *, digits: int = 18) -> int | None:
    """A whole number written in plain digits, at most so many of them (18 hold any id); None for anything else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= digits else None


def um_from_mm(value: int | float | str | Decimal, *, comma: bool = False) -> int:
    """Millimetres with at most three decimals, as whole micrometres.

    Takes a number, or plain digits as text (with `comma` also a decimal comma). Raises ValueError with a sentence
    that says what is wrong: more decimals, a unit inside the number, not finite, or absurdly large.
    """
    if isinstance(value, bool):
        raise ValueError("must be a number in millimetres")
    text = str(value).strip()
    if comma:
        text = text.replace(",", ".")
    if not text or len(text) > LONGEST_NUMBER or any(sign not in "0123456789.-+eE" for sign in text):
        raise ValueError(f"must be a plain number in millimetres, without a unit; not {str(value)[:40]!r}")
    try:
        exact = Decimal(text) * UM_PER_MM
    except ArithmeticError:
        raise ValueError(f"must be a number in millimetres; not {str(value)[:40]!r}") from None
    if not exact.is_finite() or abs(exact) > LONGEST_UM:
        raise ValueError(f"must lie within {LONGEST_UM // UM_PER_MM} mm; is the unit right?")
    if exact != exact.to_integral_value():
        raise ValueError("may have at most 3 decimals (a whole number of micrometres)")
    return int(exact)


def mm_from_um(um: int | float) -> float:
    """Micrometres as millimetres."""
    return round(um / UM_PER_MM, 4)


def short_mm(um: float) -> str:
    """Micrometres as text in millimetres without needless decimals: 34000 -> `34`, 2500 -> `2.5`."""
    return f"{um / UM_PER_MM:.3f}".rstrip("0").rstrip(".")


def mm_text(um: int) -> str:
    """Micrometres as text in millimetres with at least two decimals: 150 -> `0.15`, 12000 -> `12.00`."""
    text = f"{um / UM_PER_MM:.3f}"
    return text[:-1] if text.endswith("0") else text
