"""An Answer of the engine as the API gives it: the verdict, and text for every code."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from compat import texts
from compat.asking.rooms import questions
from compat.engineering.answers import Answer, Finding, Severity, verdict_of
from compat.engineering.units import Range

VERDICT_WORDS = {
    "fits": "It fits.",
    "does_not_fit": "It does not fit.",
    "cannot_tell": "Cannot tell: something must be measured first.",
}
# What stands before a sentence that another question found.
ABOUT = {"nut": "Nut: "}
DECIMALS = 4
# A range whose ends read alike is one number.
NO_SPAN = re.compile(r"(?<![\d.])(-?\d{1,20}(?:\.\d{1,20})?) to \1(?!\.{0,3}\d)")
# One of a thing is said in the singular, whatever the sentence counts.
ONE_OF = re.compile(
    r"(?<![\d.,-])1 (depth|direction|reading|piece|size|shim|line|place|drawer|lot|thread|start|part|ring|turn)s\b"
)
PRESSURE_DIGITS = 5  # a hundredth of a megapascal lifts a shim: places after the point would cut it off


def answer(found: Answer) -> dict[str, Any]:
    """The answer document of docs/reference/api.md."""
    return document(found.question, found.findings, found.values, found.sources, found.cautions)


def document(
    question: str,
    findings: Iterable[Finding],
    values: Mapping[str, object],
    sources: Iterable[str],
    cautions: Iterable[str],
) -> dict[str, Any]:
    """An answer document from its parts; the verdict follows from the findings."""
    shown = list(findings)
    verdict = str(verdict_of(shown))
    keys = [*sources, *(one.source for one in shown if one.source)]
    return {
        "question": question,
        "verdict": verdict,
        "summary": summary(verdict, shown, question),
        "findings": [finding(one) for one in shown],
        "values": number(values),
        "method": texts.METHODS[question],
        "sources": [texts.SOURCES[key] for key in dict.fromkeys(keys)],
        "cautions": [texts.CAUTIONS[key] for key in dict.fromkeys(cautions)],
    }


def summary(verdict: str, findings: Iterable[Finding], question: str = "") -> str:
    """The verdict in words, with the first finding that decides it; or, where it fits, what it fits only with."""
    words, conditions = words_of(question), questions()[question].conditions if question in questions() else ()
    deciding = {"does_not_fit": Severity.STOP, "cannot_tell": Severity.ASK}.get(verdict)
    if deciding is None:
        return " ".join([words[verdict], *(sentence(one) for one in findings if one.code in conditions)])
    decisive = [sentence(one) for one in findings if one.severity is deciding]
    more = f" ({len(decisive) - 1} more.)" if len(decisive) > 1 else ""
    return " ".join([words[verdict], *decisive[:1]]) + more


def words_of(question: str) -> Mapping[str, str]:
    """{verdict: its words} of a question, or of what is none."""
    room = questions().get(question)
    return room.verdicts if room is not None and room.verdicts else VERDICT_WORDS


def finding(one: Finding) -> dict[str, object]:
    """One finding. `measure` marks those that leave the verdict open until something is measured."""
    severity = "warn" if one.severity is Severity.ASK else str(one.severity)
    return {
        "code": one.code,
        "severity": severity,
        "measure": one.severity is Severity.ASK,
        "text": sentence(one),
        "data": number(one.data),
        "source": texts.SOURCES.get(one.source, ""),
    }


def sentence(one: Finding) -> str:
    """The finding in words, with the side first where the text itself does not name it."""
    template = texts.TEXTS[one.code]
    side = one.data.get("side")
    prefix = f"{side.capitalize()} side: " if isinstance(side, str) and "{side}" not in template else ""
    prefix += ABOUT.get(one.data.get("about", ""), "")
    said = {name: _deserved(name, value) for name, value in one.data.items()}
    return prefix + ONE_OF.sub(r"1 \1", NO_SPAN.sub(r"\1", template.format(**said)))


class _Rounded(float):
    """A share or a number of turns as it is said: two digits of it, and none behind the point from ten on."""

    def __format__(self, spec: str) -> str:
        size = abs(self)
        digits = 0 if size >= 9.95 or not size else 1 if size >= 0.95 else 2
        return f"{float(self):.{digits}f}"


def _deserved(name: str, value: Any) -> Any:
    """A computed percentage or number of turns with the digits that it deserves; limits are said as they are set."""
    if isinstance(value, float) and math.isfinite(value) and ("percent" in name or "turns" in name):
        return _Rounded(value)
    return value


def number(value: Any) -> Any:
    """Numbers, ranges and what holds them in the form of the contract."""
    if isinstance(value, Range):
        return {"min": number(value.low), "max": number(value.high), "nominal": number(value.nominal)}
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0
    if isinstance(value, Mapping):
        return {str(name): _named(str(name), inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [number(inner) for inner in value]
    return value


def _named(name: str, value: Any) -> Any:
    if isinstance(value, float) and name.endswith("_mpa"):
        return float(f"{value:.{PRESSURE_DIGITS}g}")
    return number(value)
