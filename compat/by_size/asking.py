"""From a text or from named sizes to the answer of parts by size."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compat.by_size.answering import Found, look
from compat.by_size.wanting import check_threads, designated
from compat.engineering.seals.sizes import SizeError, ring_called
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.units import MM_PER_INCH, um_to_mm
from compat.refusals import why_unreadable
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.common.sizes.measures import ANY_PITCH_MM, MEASURES, Number
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.wanted import Wanted, meanings

Asked = Mapping[str, Any]


def find(asked: Asked) -> Found:
    """What has the sizes of a checked request. Raises DomainError `invalid` for what is not understood."""
    return by_text(asked["text"]) if "text" in asked else look(_wanted(asked))


def by_text(text: str) -> Found:
    """What has the sizes that somebody typed. Raises DomainError `invalid` with a sentence for the field `text`."""
    try:
        wanted = read(text)
        check_threads(wanted)
        return look(wanted)
    except TextError as refused:
        raise _refused("text", refused.code, refused.sentence) from None
    except ThreadError as refused:
        raise _refused("text", refused.code, why_unreadable(refused, part="nut")) from None


def _wanted(asked: Asked) -> Wanted:
    sizes = asked["sizes"]
    tolerance = um_to_mm(asked["tolerance_mm"]) if "tolerance_mm" in asked else None
    said = {name: _reading(sizes[name], tolerance) for name in MEASURES if name in sizes and name != "pitch_mm"}
    if "pitch_mm" in sizes or "threads_per_inch" in sizes:
        said["pitch_mm"] = Number(sizes.get("pitch_mm") or MM_PER_INCH / sizes["threads_per_inch"])
    kinds = (asked["kind"],) if "kind" in asked else ()
    thread = _thread(sizes["thread"]) if "thread" in sizes else None
    hand = _hand(thread, sizes.get("hand"))
    if thread is not None and thread.coarse_taken:
        # A diameter alone leaves the pitch open: of a nut in the hand nobody knows that it is a coarse one.
        said["thread_mm"], thread = Number(thread.nominal_mm, ANY_PITCH_MM), None
    wanted = Wanted(
        kinds=kinds,
        said=said,
        thread=designated(thread) if thread else None,
        dash=_dash(sizes["size"]) if "size" in sizes else "",
        hand=hand,
    )
    if not meanings(wanted):
        raise invalid("sizes", "no part of that kind can have these sizes: is a unit or a name wrong?")
    return wanted


def _reading(told: Mapping[str, float], tolerance: float | None) -> Number:
    """A number with its error, or limits as they are."""
    low, high = told["min"], told["max"]
    return Number((low + high) / 2, (high - low) / 2) if high > low else Number(told["nominal"], tolerance)


def _thread(text: str) -> Thread:
    try:
        thread = parse(text)
    except ThreadError as refused:
        raise _refused("sizes.thread", refused.code, why_unreadable(refused, part="nut")) from None
    if thread.starts > 1:
        raise invalid("sizes.thread", "no part of the catalogue has a thread of several starts")
    return thread


def _hand(thread: Thread | None, told: str | None) -> str | None:
    written = thread.hand if thread else None
    if told and written and told != written:
        raise invalid("sizes.hand", f"contradicts the thread, which says {written}")
    return told or written


def _dash(text: str) -> str:
    try:
        return ring_called(text).size
    except SizeError as refused:
        raise invalid("sizes.size", f"{refused}; tell the inner diameter and the section as read") from None


def _refused(field: str, code: str, sentence: str) -> DomainError:
    return DomainError("invalid", errors=[FieldError(field, code, sentence)])
