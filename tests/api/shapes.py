"""Holds answers against the schemas of the OpenAPI document. Stricter than the standard: no undeclared field."""

from __future__ import annotations

import re
from typing import Any

RFC_3339_UTC = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z")
DAY = re.compile(r"\d{4}-\d\d-\d\d")


def resolved(document: Any, schema: Any) -> Any:
    """The schema that a reference points to."""
    while "$ref" in schema:
        found = document
        for name in schema["$ref"].removeprefix("#/").split("/"):
            found = found[name]
        schema = found
    return schema


def faults(document: Any, schema: Any, value: Any, where: str = "") -> list[str]:
    """A sentence for each place where the value is not what the schema says."""
    schema = resolved(document, schema)
    for one in schema.get("allOf", ()):
        if found := faults(document, one, value, where):
            return found
    for word in ("oneOf", "anyOf"):
        if word in schema and all(faults(document, one, value, where) for one in schema[word]):
            return [f"{where} is none of {word}: {value!r}"[:200]]
    kinds = schema.get("type")
    if kinds is not None and not any(_is(kind, value) for kind in ([kinds] if isinstance(kinds, str) else kinds)):
        return [f"{where} should be {kinds} and is {value!r}"[:200]]
    if "enum" in schema and value not in schema["enum"]:
        return [f"{where} is not among {schema['enum']}: {value!r}"]
    if isinstance(value, str):
        return _text(schema.get("format"), value, where)
    if isinstance(value, list):
        return [
            fault
            for index, one in enumerate(value)
            for fault in faults(document, schema.get("items", {}), one, f"{where}[{index}]")
        ]
    return _object(document, schema, value, where) if isinstance(value, dict) else []


def _object(document: Any, schema: Any, value: dict[str, Any], where: str) -> list[str]:
    declared = schema.get("properties")
    if declared is None:
        return []
    found = [f"{where}.{name} is missing" for name in schema.get("required", ()) if name not in value]
    if not schema.get("additionalProperties"):
        found += [f"{where}.{name} is not declared" for name in value if name not in declared]
    for name, inner in declared.items():
        if name in value:
            found += faults(document, inner, value[name], f"{where}.{name}")
    return found


def _text(form: str | None, value: str, where: str) -> list[str]:
    pattern = {"date-time": RFC_3339_UTC, "date": DAY}.get(form or "")
    return [f"{where} is no {form}: {value!r}"] if pattern and not pattern.fullmatch(value) else []


def _is(kind: str, value: Any) -> bool:
    if isinstance(value, bool):
        return kind == "boolean"
    kinds = {"string": str, "integer": int, "number": (int, float), "object": dict, "array": list, "null": type(None)}
    return kind in kinds and isinstance(value, kinds[kind])  # type: ignore[arg-type]  # a type, or a pair of them
