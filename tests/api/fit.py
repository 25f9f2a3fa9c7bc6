"""What every answer of a fit question must look like, whatever it says."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from typing import Any

from tests.api.conftest import Caller, Json, ok

VERDICTS = ("fits", "does_not_fit", "cannot_tell")


def asked(program: Caller, question: str, body: Any) -> Json:
    """The answer to a question, which must have the whole form."""
    found: Json = ok(program.ask(f"/fit/{question}", body))
    well_formed(found)
    return found


def well_formed(answer: Json) -> None:
    """The form of docs/reference/api.md, and a verdict that follows from the findings."""
    names = {"question", "verdict", "summary", "findings", "values", "method", "sources", "cautions"}
    assert set(answer) == names
    assert answer["summary"] and answer["method"] and answer["cautions"] and answer["sources"]
    assert all(isinstance(text, str) and text for text in [*answer["sources"], *answer["cautions"]])
    for finding in answer["findings"]:
        assert set(finding) == {"code", "severity", "measure", "text", "data", "source"}
        assert finding["severity"] in ("stop", "warn", "note")
        assert finding["text"] and "{" not in finding["text"]
        # What must be measured first is something to act on.
        assert not finding["measure"] or finding["severity"] == "warn"
    stops = any(finding["severity"] == "stop" for finding in answer["findings"])
    opens = any(finding["measure"] for finding in answer["findings"])
    assert answer["verdict"] == ("does_not_fit" if stops else "cannot_tell" if opens else "fits")
    for value in numbers(answer["values"]):
        assert value == round(value, 4) or value == float(f"{value:.5g}")


def numbers(value: Any) -> Iterator[float]:
    """Every number in a value; every range has all three of its numbers, in order."""
    if isinstance(value, dict):
        if "min" in value:
            assert set(value) == {"min", "max", "nominal"}
            assert value["min"] <= value["nominal"] <= value["max"]
        for inner in value.values():
            yield from numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


def codes(answer: Json, severity: str = "") -> set[str]:
    """The codes of the findings, of one severity if it is named; `measure` names the open ones."""
    return {
        finding["code"]
        for finding in answer["findings"]
        if not severity or finding["severity"] == severity or (severity == "measure" and finding["measure"])
    }


def without(body: Json, path: str) -> Json:
    """The body without the field at a dotted path."""
    copied: Any = deepcopy(body)
    *way, last = path.split(".")
    inner = copied
    for name in way:
        inner = inner[int(name)] if name.isdigit() else inner[name]
    del inner[last]
    return dict(copied)


def never_fits_without(
    program: Caller, question: str, body: Json, optional: set[str], paths: list[str], check: Callable[[Json], None]
) -> None:
    """Takes each field away in turn: the verdict may stay `fits` only for those that change nothing by their nature."""
    for path in paths:
        answer = asked(program, question, without(body, path))
        if path not in optional:
            assert answer["verdict"] == "cannot_tell", f"{path}: {answer['summary']}"
            assert codes(answer, "measure"), path
        check(answer)
