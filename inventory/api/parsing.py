"""The one parser of the API: JSON whose texts are texts."""

from __future__ import annotations

import json
from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from inventory.common.errors import DomainError

DEEPEST = 20  # lists and objects inside each other; the deepest request has 7
MOST_VALUES = 20_000  # in one body; a bore with all of its readings as ranges has 4,000


class TextParser(JSONParser):
    """JSON without halves of characters, which JSON may escape and no answer could repeat; neither nested deeper nor
    with more values than any request that makes sense."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        found = super().parse(stream, media_type, parser_context)
        _refuse_too_much(found)
        try:
            json.dumps(found, ensure_ascii=False).encode()
        except UnicodeEncodeError:
            raise ParseError("A text has half of a character (a lone surrogate); send whole characters.") from None
        return found


def _refuse_too_much(found: Any) -> None:
    """Level by level, since a walk into the depth would itself go too deep. Raises ParseError, DomainError
    `too_many_values`."""
    level, values = [found], 0
    for _ in range(DEEPEST + 1):
        inner = [one for one in level if isinstance(one, dict | list)]
        values += len(level)
        if values > MOST_VALUES:
            raise DomainError("too_many_values", most=MOST_VALUES)
        if not inner:
            return
        level = [value for one in inner for value in (one.values() if isinstance(one, dict) else one)]
    raise ParseError(f"It is nested more than {DEEPEST} deep; no request here is.")
