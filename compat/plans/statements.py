"""The two statements of a plan: whether what would be built fits, and whether the shelf has it. The weaker leads."""

from __future__ import annotations

from dataclasses import dataclass

from compat.texts.rendering import VERDICT_WORDS

FITS = {
    "fits": "By the sizes it fits.",
    "does_not_fit": VERDICT_WORDS["does_not_fit"],
    "cannot_tell": VERDICT_WORDS["cannot_tell"],
}
ALL_THERE = "All of it is on the shelf."
NO_SPACER = "It needs spacers, and the shelf has none that serve."
CANNOT = "It cannot be built from the shelf as it is:"


@dataclass(frozen=True, slots=True)
class Statements:
    """`leads` is the weaker: does_not_fit, missing, cannot_tell, or fits where both are good."""

    leads: str
    can_be_built: bool
    headline: str
    fit: str
    shelf: str


def statements_of(verdict: str, *, built: bool, missing: int) -> Statements:
    """Both statements of a plan: its verdict, whether all of it can be built, and how many pieces are missing.

    A plan that does not fit is the weakest, then one that lacks pieces, then one of which something must be measured.
    """
    shelf = _shelf(missing, built)
    fit = VERDICT_WORDS["fits"] if verdict == "fits" and built else FITS[verdict]
    leads = "missing" if not built and verdict != "does_not_fit" else verdict
    headline = f"{CANNOT} {shelf[:1].lower()}{shelf[1:]}" if leads == "missing" else fit
    return Statements(leads, built, headline, fit, shelf)


def _shelf(missing: int, built: bool) -> str:
    if missing:
        return f"{missing} {'piece is' if missing == 1 else 'pieces are'} missing."
    return ALL_THERE if built else NO_SPACER
