"""From a text or from named sizes to the answer of parts by size."""

from __future__ import annotations

from compat.engineering.seals.sizes import SizeError, ring_called
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.units import MM_PER_INCH, Range
from compat.questions.parts_by_size.answering import Found, look
from compat.questions.parts_by_size.request import PartsBySize, ReadSizes
from compat.questions.parts_by_size.wanting import check_threads, designated
from compat.texts.refusals import why_unreadable
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.common.sizes.measures import ANY_PITCH_MM, MEASURES, Number
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.wanted import Wanted, meanings


def find(asked: PartsBySize) -> Found:
    """What has the sizes of a request. Raises DomainError `invalid` for what is not understood."""
    if asked.text is not None:
        return by_text(asked.text)
    assert asked.sizes is not None
    return look(_wanted(asked, asked.sizes))


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


def _wanted(asked: PartsBySize, sizes: ReadSizes) -> Wanted:
    read = {name: getattr(sizes, name) for name in MEASURES if name != "pitch_mm"}
    said = {name: _reading(told, asked.tolerance_mm) for name, told in read.items() if told is not None}
    if sizes.pitch_mm is not None:
        said["pitch_mm"] = Number(sizes.pitch_mm)
    elif sizes.threads_per_inch is not None:
        said["pitch_mm"] = Number(MM_PER_INCH / sizes.threads_per_inch)
    thread = None if sizes.thread is None else _thread(sizes.thread)
    hand = _hand(thread, sizes.hand)
    if thread is not None and thread.coarse_taken:
        # A diameter alone leaves the pitch open: of a nut in the hand nobody knows that it is a coarse one.
        said["thread_mm"], thread = Number(thread.nominal_mm, ANY_PITCH_MM), None
    wanted = Wanted(
        kinds=() if asked.kind is None else (asked.kind,),
        said=said,
        thread=designated(thread) if thread else None,
        dash="" if sizes.size is None else _dash(sizes.size),
        hand=hand,
    )
    if not meanings(wanted):
        raise invalid("sizes", "no part of that kind can have these sizes: is a unit or a name wrong?")
    return wanted


def _reading(told: Range, tolerance: float | None) -> Number:
    """A number with its error, or limits as they are."""
    low, high = told.low, told.high
    return Number((low + high) / 2, (high - low) / 2) if high > low else Number(told.nominal, tolerance)


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
