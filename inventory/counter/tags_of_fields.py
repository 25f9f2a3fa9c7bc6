"""The tags of plain inputs, as Django's own templates of widgets write them, sign for sign.

A page may have a hundred fields, and a template with two others inside for each took longer than its answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.html import escape
from django.utils.safestring import SafeData, SafeString, mark_safe

FOLDER = "django/forms/widgets/"
# All of them are input.html by another name.
INPUTS = frozenset(
    f"{FOLDER}{name}.html" for name in ("input", "text", "number", "hidden", "checkbox", "date", "email", "password")
)


def input_tag(widget: Mapping[str, Any]) -> SafeString:
    """The tag of an input from the context that its widget gives to its template."""
    value = "" if widget["value"] is None else f' value="{_safe(widget["value"])}"'
    attributes = "".join(
        f" {escape(name)}" if told is True else f' {escape(name)}="{_safe(told)}"'
        for name, told in widget["attrs"].items()
        if told is not False
    )
    return mark_safe(f'<input type="{escape(widget["type"])}" name="{escape(widget["name"])}"{value}{attributes}>')


def _safe(value: Any) -> str:
    return str(value) if isinstance(value, SafeData) else escape(str(value))
