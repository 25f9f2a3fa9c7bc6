"""What the OpenAPI document adds to every operation: the command header, and problems as the only errors."""

from __future__ import annotations

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

COMMANDS = {"POST", "PUT", "PATCH", "DELETE"}
_TEXT = {"type": "string"}
PROBLEM = {
    "description": "Every refusal, as RFC 9457 says; docs/reference/errors.md lists the codes.",
    "content": {
        "application/problem+json": {
            "schema": {
                "type": "object",
                "required": ["type", "title", "status", "detail", "code", "errors", "data"],
                "properties": {
                    "type": _TEXT,
                    "title": _TEXT,
                    "status": {"type": "integer"},
                    "detail": _TEXT,
                    "code": _TEXT,
                    "errors": {
                        "type": "array",
                        "items": {
                            "type": "object",
                            "required": ["field", "code", "message"],
                            "properties": {"field": _TEXT, "code": _TEXT, "message": _TEXT},
                        },
                    },
                    "data": {"type": "object"},
                },
            }
        }
    },
}


class Schema(AutoSchema):
    """Adds the Idempotency-Key header where the view's method is a command."""

    def get_override_parameters(self) -> list[Any]:
        questions = getattr(self.view, "questions", ())
        if self.method in COMMANDS and self.method not in questions:
            text = "A text of your own, new for every command; the same command sent again happens once."
            found = [_header("Idempotency-Key", text)]
            if self.method == "PUT":
                found.append(
                    _header("If-Match", "The ETag that was read; an edit on top of something older is refused.")
                )
            return found
        parameters = getattr(self.view, "parameters", ()) if self.method == "GET" else ()
        return [OpenApiParameter(name, str, OpenApiParameter.QUERY) for name in parameters]

    def get_operation(self, *args: Any, **options: Any) -> dict[str, Any] | None:
        """Adds what every operation may answer besides its own: a problem document."""
        operation: dict[str, Any] | None = super().get_operation(*args, **options)
        if operation is not None:
            operation["responses"]["default"] = PROBLEM
        return operation

    def get_operation_id(self) -> str:
        path = self.path.removeprefix("/api/v1/").replace("/", "_").replace("{", "").replace("}", "").replace("-", "_")
        return f"{(self.method or 'get').lower()}_{path}"

    def get_tags(self) -> list[str]:
        return [self.path.removeprefix("/api/v1/").split("/")[0]]


def _header(name: str, text: str) -> OpenApiParameter:
    return OpenApiParameter(name, str, OpenApiParameter.HEADER, required=True, description=text)
