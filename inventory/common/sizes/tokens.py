"""A typed text cut into numbers, names and words; no meaning is given to them here."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from inventory.common.sizes import words
from inventory.common.sizes.numbers import FRACTION, LONGEST, MM_PER_INCH, fraction, number, plain, unit
from inventory.common.sizes.refusals import TextError


@dataclass(frozen=True, slots=True)
class Token:
    """One piece: its sort, what it says, and as it was written."""

    sort: str
    value: Any
    text: str


_N = r"(?:\d{1,5}+(?:[.,]\d{1,6}+)?+|[.,]\d{1,6}+)"
_END = r"(?![.,]*+\d)"  # not the middle of a longer number
_UN = r"un(?:ef|c|f)?"
_2B = r"(?:\s*+-?\s*+[123][ab](?![a-z]))?"
_W = r"(?<![^\W\d_])", r"(?![^\W\d_])"  # a word may touch a number, as in 19AF, but no other word


def _word(pattern: str) -> str:
    return f"{_W[0]}(?:{pattern}){_W[1]}"


def _pairs(table: tuple[tuple[str, str], ...]) -> list[tuple[re.Pattern[str], str]]:
    return [(re.compile(pattern), value) for pattern, value in table]


def _any(table: tuple[tuple[str, str], ...]) -> str:
    return _word("|".join(pattern for pattern, _ in table))


_PITCH = rf"(?:\d?[.,]\d{{1,3}}|\d){_END}"
_METRIC = rf"{_W[0]}m\s?\d{{1,2}}(?:[.,]\d)?(?:\s*+[x*-]\s*+{_PITCH}|\s++\d?[.,]\d{{1,3}}{_END})?(?![.,]*+\d)"
_COUNT = rf"-\s*+\d{{1,2}}(?![.,]*+\d)(?:\s*+-?{_word(_UN)})?"
_INCHES = r"\d{1,2}/\d{1,2}"
_UNIFIED = rf"{_INCHES}\s*+(?:\"|in(?:ch)?)?\s*+(?:{_COUNT}|{_word(_UN)})|1\s*+-\s*+\d{{1,2}}\s*+-?{_word(_UN)}"
_HARDNESS = r"(?:[\s-]*+[4-9]\d(?!\d|[.,]\d|x|\s*+(?:mm|x\s|x\d*+[.,])))?(?:\s*+(?:shore|sh|irhd)\b)?"
_OF = rf"{_word('pcs?|pieces?|off')}|{_word('of')}(?=\s++\d)"
_PIECES = rf"\d{{1,3}}\s*+(?:{_OF})|{_word('qty|quantity')}\s*+\d{{1,3}}{_END}"
# A break ends the reach of a name: in "44 od x 3.5" the 3.5 is no diameter.
_SORTS: tuple[tuple[str, str], ...] = (
    ("metric", rf"{_METRIC}(?:\s*+-?\s*+\d[gh](?![a-z]))?"),
    ("unified", rf"(?:{_UNIFIED}){_2B}"),
    ("dash", rf"as\s?568\s?[a-c]?\s*+-?\s*+\d{{1,3}}{_END}|(?<![\w.,\"])(?<!\d\s)2?-\d{{3}}{_END}(?!\s*+(?:mm|x\s))"),
    ("compound", rf"{_any(words.COMPOUND_WORDS)}{_HARDNESS}"),
    ("count", rf"{_PIECES}|\A\d{{1,3}}x\s++(?=[\d.,])"),
    ("times", r"(?<=\s)[x*]\d{1,3}(?![\d.,/\"']|\s*+(?:[x*±+-]|mm|in|thou))"),
    ("within", rf"(?:±|\+\s*+/?\s*+-|(?:tolerance|tol|within)\s)\s*+{_N}{_END}(?:\s*+mm)?"),
    ("fraction", rf"{FRACTION}{_END}(?!\s*+-\s*+\d)\s*+(?:\"|in(?:ch(?:es)?)?{_W[1]})?"),
    ("range", rf"\d{{1,5}}(?:[.,]\d{{1,6}})?\s*+(?:\.\.\.?|…|–|-|\bto\b)\s*+\d{{1,5}}(?:[.,]\d{{1,6}})?{_END}"),
    ("number", rf"{_N}{_END}\s*+(?:mm{_W[1]}|\"|in(?:ch(?:es)?)?{_W[1]}(?!\s++dia)|thou{_W[1]})?"),
    ("kind", _any(words.KIND_WORDS)),
    ("form", _any(words.FORM_WORDS)),
    ("label", _any(words.LABEL_WORDS)),
    ("tool", _any(words.TOOL_WORDS)),
    ("hand", _any(words.HAND_WORDS)),
    ("about", f"[~≈]|{_word(words.ABOUT)}"),
    ("break", rf"[*/;,+&]|(?<![^\W\d_])x(?![^\W\d_])|{_word('and|with')}"),
    ("noise", rf"[.:=?!()ø⌀]|-(?!\d)|{_word(words.NOISE)}"),
)  # fmt: skip
_TOKEN = re.compile("|".join(f"(?P<{sort}>{pattern})" for sort, pattern in _SORTS), re.ASCII)
_WORDS = {
    "kind": _pairs(words.KIND_WORDS),
    "label": _pairs(words.LABEL_WORDS),
    "tool": _pairs(words.TOOL_WORDS),
    "hand": _pairs(words.HAND_WORDS),
    "form": _pairs(words.FORM_WORDS),
}
_COMPOUNDS = _pairs(words.COMPOUND_WORDS)
_STRANGE = re.compile(r"[^\s;]++")


def tokens(text: str) -> list[Token]:
    """The pieces of a text in their order. Raises TextError where it is empty, too long, or has a word nobody knows."""
    if len(text) > LONGEST:
        raise TextError("text_too_long", most=LONGEST)
    typed = plain(text)
    if not typed:
        raise TextError("text_empty")
    found: list[Token] = []
    at = 0
    while at < len(typed):
        if typed[at] == " ":
            at += 1
            continue
        match = _TOKEN.match(typed, at)
        if match is None or not match.group():
            strange = _STRANGE.match(typed, at)
            raise TextError("text_not_understood", word=strange.group()[:40] if strange else typed[at])
        sort = str(match.lastgroup)
        found.append(Token(sort, _value(sort, match.group()), match.group().strip()))
        at = match.end()
    return found


def _value(sort: str, text: str) -> Any:
    if sort in _WORDS:
        for pattern, value in _WORDS[sort]:
            if pattern.fullmatch(text):
                return value
        # A word that is only one before another word.
        raise TextError("text_not_understood", word=text)
    if sort == "number":
        return number(re.match(_N, text)[0]) * unit(text)  # type: ignore[index]  # the sort begins so
    if sort == "fraction":
        found = fraction(text)
        if found is None:
            raise TextError("text_not_understood", word=text)
        return found * MM_PER_INCH
    if sort == "range":
        low, high = (number(part) for part in re.findall(r"\d++(?:[.,]\d++)?", text))
        return low, high
    if sort == "within":
        return number(re.search(rf"{_N}$", text.removesuffix("mm").rstrip())[0])  # type: ignore[index]  # it ends so
    if sort == "dash":
        return re.findall(r"\d++", text)[-1]
    if sort in ("count", "times"):
        return int(re.search(r"\d++", text)[0])  # type: ignore[index]  # it holds one
    if sort == "compound":
        hardness = re.search(r"\d++", text)
        word = re.match(r"[a-z-]{1,20}[a-z]", text)[0]  # type: ignore[index]  # it begins with the compound's word
        return _compound(word), hardness[0] if hardness else ""
    return text


def _compound(word: str) -> str:
    return next(value for pattern, value in _COMPOUNDS if pattern.fullmatch(word))
