"""The form of every answer: findings decide the verdict, and nothing else does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, TypeAlias

from compat.engineering.units import Range


class Verdict(StrEnum):
    """Three words, in order from good to bad for `worst`."""

    FITS = "fits"
    CANNOT_TELL = "cannot_tell"
    DOES_NOT_FIT = "does_not_fit"


class Severity(StrEnum):
    """`stop` forbids, `ask` leaves the question open until something is measured, `warn` and `note` inform."""

    STOP = "stop"
    ASK = "ask"
    WARN = "warn"
    NOTE = "note"


# What an answer holds under a name: figures, words, and lists and tables of them.
Value: TypeAlias = "Range | str | float | bool | Sequence[Value] | Mapping[str, Value] | None"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found. `code` is stable and has its text at the edge; `data` fills that text; `source` names where
    the rule comes from (a key of the text table, or empty for plain geometry)."""

    code: str
    severity: Severity
    data: Mapping[str, Any] = field(default_factory=dict)
    source: str = ""

    def on(self, side: str) -> Finding:
        """The same of one side of a valve."""
        return replace(self, data={**self.data, "side": side})

    def about(self, what: str) -> Finding:
        """The same as a part of a larger answer: `about` says which question found it."""
        return replace(self, data={**self.data, "about": what})


def stop(code: str, source: str = "", **data: Any) -> Finding:
    """A finding that makes the verdict `does_not_fit`."""
    return Finding(code, Severity.STOP, data, source)


def ask(code: str, source: str = "", **data: Any) -> Finding:
    """A finding that makes the verdict `cannot_tell` unless something else stops; its text says what to measure."""
    return Finding(code, Severity.ASK, data, source)


def warn(code: str, source: str = "", **data: Any) -> Finding:
    """A finding to act on that leaves the verdict alone."""
    return Finding(code, Severity.WARN, data, source)


def note(code: str, source: str = "", **data: Any) -> Finding:
    """A finding to know."""
    return Finding(code, Severity.NOTE, data, source)


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """Any stop: does not fit. Else any open question: cannot tell. Else it fits."""
    severities = {finding.severity for finding in findings}
    if Severity.STOP in severities:
        return Verdict.DOES_NOT_FIT
    return Verdict.CANNOT_TELL if Severity.ASK in severities else Verdict.FITS


_ORDER = [Verdict.FITS, Verdict.CANNOT_TELL, Verdict.DOES_NOT_FIT]


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of several verdicts; of none, `cannot_tell`: a verdict is never `fits` on missing data."""
    return max(verdicts, key=_ORDER.index, default=Verdict.CANNOT_TELL)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a question gives back. `values` hold numbers and `Range`s by name (the name carries the unit);
    `method`, `sources` and `cautions` are keys whose text is made at the edge."""

    question: str
    findings: tuple[Finding, ...]
    values: Mapping[str, Any]
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def verdict(self) -> Verdict:
        return verdict_of(self.findings)
