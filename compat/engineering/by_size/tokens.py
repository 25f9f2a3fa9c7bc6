"""A typed text cut into numbers, names and words; no meaning is given to them here."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Any

from compat.engineering.by_size import words
from compat.engineering.units import MM_PER_INCH

LONGEST = 120  # signs
# Signs of books and phones as they are typed: times, slash, minus, hyphens, quotes and primes.
_AS_TYPED = {0xD7: "x", 0x2044: "/", 0x2212: "-", 0x2010: "-", 0x2011: "-", 0x201D: '"', 0x2032: "'", 0x2019: "'"}
THOU_MM = MM_PER_INCH / 1000


class TextError(ValueError):
    """A text that is not understood; `code` and `data` make the sentence."""

    def __init__(self, code: str, **data: Any) -> None:
        super().__init__(f"{code}: {data}")
        self.code = code
        self.data = data


@dataclass(frozen=True, slots=True)
class Token:
    """One piece: its sort, what it says, and as it was written."""

    sort: str
    value: Any
    text: str


_N = r"(?:\d{1,5}(?:[.,]\d{1,6})?|[.,]\d{1,6})"
_END = r"(?![\d.,]*\d)"  # not the middle of a longer number
_FRACTION = r"\d{1,2}/\d{1,2}"
_VULGAR = re.compile(r"(?<=\d)(?=[¼½¾⅐-⅞])")  # 1¼ is one and a quarter, not eleven quarters
_UN = r"un(?:ef|c|f)?"
_2B = r"(?:\s*-?\s*[123][ab](?![a-z]))?"
_W = r"(?<![^\W\d_])", r"(?![^\W\d_])"  # a word may touch a number, as in 19AF, but no other word


def _word(pattern: str) -> str:
    return f"{_W[0]}(?:{pattern}){_W[1]}"


def _pairs(table: tuple[tuple[str, str], ...]) -> list[tuple[re.Pattern[str], str]]:
    return [(re.compile(pattern), value) for pattern, value in table]


def _any(table: tuple[tuple[str, str], ...]) -> str:
    return _word("|".join(pattern for pattern, _ in table))


_PITCH = rf"(?:\d?[.,]\d{{1,3}}|\d){_END}"
_METRIC = rf"{_W[0]}m\s?\d{{1,2}}(?:[.,]\d)?(?:\s*[x*-]\s*{_PITCH}|\s+\d?[.,]\d{{1,3}}{_END})?(?![\d.,]*\d)"
_COUNT = rf"-\s*\d{{1,2}}(?![\d.,]*\d)(?:\s*-?{_word(_UN)})?"
_UNIFIED = rf"(?:{_FRACTION})\s*(?:\"|in(?:ch)?)?\s*(?:{_COUNT}|{_word(_UN)})|1\s*-\s*\d{{1,2}}\s*-?{_word(_UN)}"
# A break ends the reach of a name: in "44 od x 3.5" the 3.5 is no diameter.
_SORTS: tuple[tuple[str, str], ...] = (
    ("metric", rf"{_METRIC}(?:\s*-?\s*\d[gh](?![a-z]))?"),
    ("unified", rf"(?:{_UNIFIED}){_2B}"),
    ("dash", rf"as\s?568\s?[a-c]?\s*-?\s*\d{{1,3}}{_END}|(?<![\w.,\"])(?<!\w\s)-\d{{3}}{_END}(?!\s*(?:mm|x))"),
    ("within", rf"(?:±|\+\s*/?\s*-|(?:tolerance|tol|within)\s)\s*{_N}{_END}(?:\s*mm)?"),
    ("range", rf"\d{{1,5}}(?:[.,]\d{{1,6}})?\s*(?:\.\.\.?|…|–|-|\bto\b)\s*\d{{1,5}}(?:[.,]\d{{1,6}})?{_END}"),
    ("fraction", rf"(?:\d{{1,2}}\s+)?{_FRACTION}{_END}(?!\s*-\s*\d)\s*(?:\"|in(?:ch(?:es)?)?{_W[1]})?"),
    ("number", rf"{_N}{_END}\s*(?:mm{_W[1]}|\"|in(?:ch(?:es)?)?{_W[1]}(?!\s+dia)|thou{_W[1]})?"),
    ("kind", _any(words.KIND_WORDS)),
    ("label", _any(words.LABEL_WORDS)),
    ("tool", _any(words.TOOL_WORDS)),
    ("hand", _any(words.HAND_WORDS)),
    ("about", f"[~≈]|{_word(words.ABOUT)}"),
    ("break", rf"[*/;,+&]|(?<![^\W\d_])x(?![^\W\d_])|{_word('and|with')}"),
    ("noise", rf"[.:=?!()ø⌀-]|{_word(words.NOISE)}"),
)  # fmt: skip
_TOKEN = re.compile("|".join(f"(?P<{sort}>{pattern})" for sort, pattern in _SORTS))
_WORDS = {
    "kind": _pairs(words.KIND_WORDS),
    "label": _pairs(words.LABEL_WORDS),
    "tool": _pairs(words.TOOL_WORDS),
    "hand": _pairs(words.HAND_WORDS),
}
_STRANGE = re.compile(r"[^\s;]+")


def tokens(text: str) -> list[Token]:
    """The pieces of a text in their order. Raises TextError where it is empty, too long, or has a word nobody knows."""
    if len(text) > LONGEST:
        raise TextError("text_too_long", most=LONGEST)
    plain = unicodedata.normalize("NFKC", _VULGAR.sub(" ", text)).lower()
    plain = " ".join(plain.translate(_AS_TYPED).replace("''", '"').split())
    if not plain:
        raise TextError("text_empty")
    found: list[Token] = []
    at = 0
    while at < len(plain):
        if plain[at] == " ":
            at += 1
            continue
        match = _TOKEN.match(plain, at)
        if match is None or not match.group():
            strange = _STRANGE.match(plain, at)
            raise TextError("text_not_understood", word=strange.group()[:40] if strange else plain[at])
        sort = str(match.lastgroup)
        found.append(Token(sort, _value(sort, match.group()), match.group().strip()))
        at = match.end()
    return found


def number(text: str) -> float:
    """A number with a decimal point or comma."""
    return float(text.replace(",", "."))


def _value(sort: str, text: str) -> Any:
    if sort in _WORDS:
        for pattern, value in _WORDS[sort]:
            if pattern.fullmatch(text):
                return value
        # A word that is only one before another word.
        raise TextError("text_not_understood", word=text)
    if sort == "number":
        return number(re.match(_N, text)[0]) * _unit(text)  # type: ignore[index]  # the sort begins so
    if sort == "fraction":
        *whole, top, bottom = (float(part) for part in re.findall(r"\d+", text))
        if not bottom:
            raise TextError("text_not_understood", word=text)
        return (sum(whole) + top / bottom) * MM_PER_INCH
    if sort == "range":
        low, high = (number(part) for part in re.findall(r"\d+(?:[.,]\d+)?", text))
        return low, high
    if sort == "within":
        return number(re.search(rf"{_N}(?=\s*(?:mm)?$)", text)[0])  # type: ignore[index]  # it ends so
    if sort == "dash":
        return re.findall(r"\d+", text)[-1]
    return text


def _unit(text: str) -> float:
    if text.endswith("thou"):
        return THOU_MM
    return MM_PER_INCH if text.endswith(('"', "in", "inch", "inches")) else 1.0
