"""What is not understood of a typed text, and the sentence that says what to type instead."""

from __future__ import annotations

from typing import Any

HOW = "Write sizes as in: ring about 44 x 3.5, or: nut 19 across flats, pitch 1.25."

REFUSALS: dict[str, str] = {
    "text_empty": "Type what was measured. " + HOW,
    "text_too_long": "That is longer than {most} signs. " + HOW,
    "text_not_understood": "{word!r} is not understood. " + HOW,
    "text_no_size": "No size is said. " + HOW,
    "text_too_many": "These are more than {most} numbers: type the sizes of one part. " + HOW,
    "text_said_twice": "One size is said twice: type the sizes of one part. " + HOW,
    "text_name_without_number": "{name!r} stands without a number. " + HOW,
    "text_tolerance_alone": "A tolerance stands behind its size, as in 44 ±0.1.",
    "text_range_or_two": "{text!r} may be two limits or two sizes: write 37.5..37.9 for limits, 44 x 3.5 for sizes.",
    "text_size_impossible": "No part of that kind can have these sizes: is a unit or a name wrong? " + HOW,
    "text_dash_alone": "The size {dash} of AS568 says both sizes of a ring: leave the others out.",
    "text_no_such_ring": "There is no size {dash} in AS568: type the ring's inner diameter and section as read.",
    "text_is_number": (
        "{text} looks like the number of a part, a lot or a drawer, and no size: look for it with Find. " + HOW
    ),
}


class TextError(ValueError):
    """A text that is not understood; `code` and `data` make the sentence."""

    def __init__(self, code: str, **data: Any) -> None:
        super().__init__(f"{code}: {data}")
        self.code = code
        self.data = data

    @property
    def sentence(self) -> str:
        """What is wrong and what to type instead."""
        return REFUSALS[self.code].format(**self.data)
