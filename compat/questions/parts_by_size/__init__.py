"""Which part of the catalogue is this, by any size that was measured?"""

from __future__ import annotations

from compat.asking.question import Desk, Question
from compat.asking.words import STRIPPED
from compat.engineering.answers import Answer
from compat.questions.parts_by_size.answering import answer_of
from compat.questions.parts_by_size.finding import find
from compat.questions.parts_by_size.request import PartsBySize


def answer(asked: PartsBySize) -> Answer:
    """Without drawers. Raises DomainError `invalid` for what is not understood."""
    return answer_of(find(asked), drawers=False)


def to_staff(asked: PartsBySize) -> Answer:
    """The same with the drawers."""
    return answer_of(find(asked), drawers=True)


QUESTION = Question(
    "parts-by-size",
    "Which part is this, by any size that was measured? A storefront sees no drawers.",
    PartsBySize,
    answer,
    desk=Desk(
        about=STRIPPED,
        place=0,
        title="Which part is this?",
        needs="An unlabelled part, a caliper, and a pitch gauge for a nut.",
        page="parts-by-size",
    ),
    conditions=("size_is",),
    to_staff=to_staff,
)
