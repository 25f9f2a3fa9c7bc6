"""What may be left out of a request without being missed, one list for all questions, with the reason of each.

`choice`: no reading of these parts but what somebody wants to know; the answer without it is another answer, and
`docs/reference/fits-means.md` says which. `alternative`: other evidence of the same thing stands in the request.
"""

from __future__ import annotations

_LINES = "a choice: a stack without one of its lines is another stack, which is judged as it stands"
_SPOTS = "alternative: the readings that are left must still cover every direction and the whole length by themselves"

CHOICES: dict[tuple[str, str], str] = {
    ("nut-on-shaft", "preload_n"): "a choice: without a load the thread must carry the shaft's own strength",
    ("stack", "stacks.compression[]"): _LINES,
    ("stack", "stacks.rebound[]"): _LINES,
    ("stack-curve", "stack[]"): _LINES,
    ("bore", "readings[]"): _SPOTS,
    ("shaft", "readings[]"): _SPOTS,
    ("inspection", "bore.readings[]"): _SPOTS,
    ("inspection", "shaft.readings[]"): _SPOTS,
}


def is_choice(question: str, path: str) -> bool:
    """Whether a field, or one that it stands in, is named above. A row of a list is named alone: what stands in it is
    a reading like any other."""
    return any(
        question == asked and (path == name or (path.startswith(f"{name}.") and not name.endswith("[]")))
        for asked, name in CHOICES
    )
