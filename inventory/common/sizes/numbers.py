"""How numbers and limits are typed, and a single length; the pattern of every place that reads one."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 120  # signs of a typed size
MM_PER_INCH = 25.4  # by definition
THOU_MM = MM_PER_INCH / 1000
# Signs of books and phones as they are typed: times, slash, minus, hyphens, quotes and primes.
_AS_TYPED = {0xD7: "x", 0x2044: "/", 0x2212: "-", 0x2010: "-", 0x2011: "-", 0x201D: '"', 0x2032: "'", 0x2019: "'"}
_VULGAR = re.compile(r"(?<=\d)(?=[¼½¾⅐-⅞])")  # 1¼ is one and a quarter, not eleven quarters

# No part of a pattern gives a sign back once it has it, so that no text takes longer than its length.
NUMBER = r"(?:[0-9]{1,6}+(?:[.,][0-9]{1,20}+)?+|[.,][0-9]{1,20}+)"
TO = r"(?:\.\.\.?|…|–|-|\bto\b)"
WITHIN = r"(?:±|\+\s*+/?\s*+-)"
FRACTION = r"(?:\d{1,2}[\s-]++)?\d{1,2}/\d{1,2}"
_LENGTH = re.compile(rf"[ø⌀]?\s*+(?P<number>{NUMBER})\s*+(?:mm)?", re.ASCII)
_UNITS = {"mm": 1.0, '"': MM_PER_INCH, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, "thou": THOU_MM}


def plain(text: str) -> str:
    """A text in lower case with plain signs and single blanks."""
    simple = unicodedata.normalize("NFKC", _VULGAR.sub(" ", text)).lower()
    return " ".join(simple.translate(_AS_TYPED).replace("''", '"').split())


def number(text: str) -> float:
    """A number with a decimal point or comma."""
    return float(text.replace(",", "."))


def fraction(text: str) -> float | None:
    """`3/4` or `1 3/4`, of whatever unit; None where it divides by nothing."""
    *whole, top, bottom = (float(part) for part in re.findall(r"\d++", text))
    return sum(whole) + top / bottom if bottom else None


def unit(text: str) -> float:
    """Millimetres in the unit that ends a number: inches, thousandths, else millimetres."""
    return _UNITS.get(text.lstrip("0123456789., "), 1.0)


def single(text: str) -> str | None:
    """One length in a box of millimetres as plain digits: `12,5 mm`, `Ø34`; None for anything else."""
    found = _LENGTH.fullmatch(plain(text)) if len(text.strip()) <= LONGEST else None
    return found["number"].replace(",", ".") if found else None
