"""Rewrites the golden OpenAPI document: `.venv/bin/python -m tests.api.rewrite_openapi`."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

GOLDEN = Path(__file__).with_name("openapi.json")


def text(document: Any) -> str:
    """The document as the golden file holds it."""
    return json.dumps(document, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def main() -> None:
    """Makes the document as the address does, without a database."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.typing_settings")
    import django

    django.setup()
    from drf_spectacular.generators import SchemaGenerator
    from drf_spectacular.renderers import OpenApiJsonRenderer

    made = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]  # the library has no types
    GOLDEN.write_text(text(json.loads(OpenApiJsonRenderer().render(made))), encoding="utf-8")
    print(f"{GOLDEN} is rewritten; look at its diff")


if __name__ == "__main__":
    main()
