"""What is tried on `parts-by-size`: the least that is answered."""

from __future__ import annotations

from tests.compat.questions.readings import Json
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"text": "34 x 0.15"}
