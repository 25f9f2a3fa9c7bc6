"""A size as somebody types it into the search: `34x0.15`, `34 0,15`, `34x0.15x12`, `M12x1.25`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.common import quantities

NUMBER = r"(\d{1,4}(?:[.,]\d{1,3}0*)?|[.,]\d{1,3}0*)"
BETWEEN = r"(?:\s*[x×*/;]\s*|\s+)"
SIZE = re.compile(rf"{NUMBER}{BETWEEN}{NUMBER}(?:{BETWEEN}{NUMBER})?", re.ASCII)
DIAMETER = re.compile(NUMBER, re.ASCII)
THREAD = re.compile(rf"m\s*{NUMBER}{BETWEEN}{NUMBER}", re.ASCII)
UNITS = re.compile(r"(?<=[\d.,\s])mm\b|ø")


@dataclass(frozen=True, slots=True)
class Typed:
    """One to three lengths in micrometres, in the order in which they were typed; or a metric thread."""

    lengths_um: tuple[int, ...] = ()
    thread: str = ""


def read(text: str) -> Typed | None:
    """The size that a text says, None where it says none. Three lengths are diameter, thickness and bore."""
    plain = " ".join(UNITS.sub(" ", text.lower()).split())
    if found := THREAD.fullmatch(plain):
        return Typed(thread=f"M{_plain(found[1])}x{_plain(found[2])}")
    found = SIZE.fullmatch(plain) or DIAMETER.fullmatch(plain)
    if found is None:
        return None
    lengths = tuple(quantities.um_from_mm(word, comma=True) for word in found.groups() if word)
    if not all(lengths):
        return None
    # Two lengths may be a thread whose M was left out.
    thread = f"M{_plain(found[1])}x{_plain(found[2])}" if len(lengths) == 2 else ""
    return Typed(lengths, thread)


def shim_size(text: str) -> tuple[int, ...]:
    """Outer diameter, thickness and, where it is said, bore in micrometres; empty for any other text."""
    found = read(text)
    return found.lengths_um if found is not None and len(found.lengths_um) > 1 else ()


def _plain(number: str) -> str:
    """A number as threads are written: 12.0 -> 12, 1,50 -> 1.5."""
    text = number.replace(",", ".")
    text = f"0{text}" if text.startswith(".") else text
    return text.rstrip("0").rstrip(".") if "." in text else text
