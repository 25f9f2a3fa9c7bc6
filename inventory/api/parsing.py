"""The one parser of the API: JSON whose texts are texts."""

from __future__ import annotations

import json
from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser


class TextParser(JSONParser):
    """JSON without halves of characters, which JSON may escape and no answer could repeat."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        found = super().parse(stream, media_type, parser_context)
        try:
            json.dumps(found, ensure_ascii=False).encode()
        except UnicodeEncodeError:
            raise ParseError("A text has half of a character (a lone surrogate); send whole characters.") from None
        return found
