"""What a name may be made of, wherever it comes in: over the API, on a page, from a file, by a command.

Two names that look alike must be one: what cannot be seen, or turns the direction of what can, is refused; what is
written in two ways in Unicode (an accent as a sign of its own, a blank that does not break) is brought into one. Names
are numbers, codes, titles, notes and reasons, of parts, lots, drawers, people, programs and suppliers.
"""

from __future__ import annotations

import unicodedata

from inventory.common import formulas

# Controls, formats (zero-width, direction), half surrogates, unassigned and private signs, line and paragraph ends.
CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp"})
# Of other categories, and blank all the same: fillers of Hangul, the empty Braille cell, the joiner of graphemes, two
# vowels of Khmer that are never shown, selectors of variants.
BLANK = frozenset("\u115f\u1160\u3164\uffa0\u2800\u034f\u17b4\u17b5")
VARIANTS = (range(0xFE00, 0xFE10), range(0xE0100, 0xE01F0), range(0x180B, 0x1810))
UNSEEN = "has characters that cannot be seen or that turn the direction of writing; type it anew"


def tidy(text: str) -> str:
    """The text in Unicode's composed form (NFC), with every kind of blank as the plain one."""
    composed = unicodedata.normalize("NFC", text)
    return "".join(" " if unicodedata.category(sign) == "Zs" else sign for sign in composed)


def refusal(text: str) -> str | None:
    """A sentence for a tidy text that may not be kept, a formula or with signs that nobody sees; else None."""
    return formulas.refusal(text) or (UNSEEN if any(map(_is_unseen, text)) else None)


def _is_unseen(sign: str) -> bool:
    if sign in BLANK or unicodedata.category(sign) in CATEGORIES:
        return True
    return any(ord(sign) in signs for signs in VARIANTS)
