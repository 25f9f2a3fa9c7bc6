"""How a typed text was read, said back: `O-ring, inside 44 mm, section 3.5 mm`."""

from __future__ import annotations

from inventory.common.sizes.measures import MEASURES, Number
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.wanted import Meaning, Wanted, meanings

TITLES = {
    "shim": "shim",
    "nut": "nut",
    "washer": "washer",
    "base_plate": "base plate",
    "sleeve": "sleeve",
    "piston": "piston",
    "oring": "O-ring",
    "band": "band",
    "seal_head": "seal head",
    "bush": "bush",
}
NAMES = {
    "od_mm": "outside",
    "id_mm": "inside",
    "bore_mm": "for a bore of",
    "section_mm": "section",
    "thickness_mm": "thickness",
    "height_mm": "height",
    "across_flats_mm": "across flats",
    "pitch_mm": "pitch",
    "thread_mm": "thread diameter",
}
OF_KIND = {
    ("shim", "id_mm"): "bore",
    ("nut", "id_mm"): "bore",
    ("piston", "id_mm"): "bore",
    ("seal_head", "id_mm"): "for a shaft of",
    ("seal_head", "od_mm"): "for a body of",
    ("bush", "thickness_mm"): "wall",
    ("bush", "height_mm"): "length",
    ("band", "height_mm"): "width",
}
A_NUMBER = "the number of a part, a lot, a drawer, a delivery or a job"


def read_as(wanted: Wanted, *kinds: str) -> list[str]:
    """Every way in which the words were read, the usual ones first; of these kinds, where some are named."""
    grouped: dict[str, list[str]] = {}
    for one in meanings(wanted, *kinds):
        titles = grouped.setdefault(_sizes(one), [])
        if TITLES[one.kind] not in titles:
            titles.append(TITLES[one.kind])
    return [f"{_or(titles)}{sizes}" for sizes, titles in grouped.items()]


def heard(text: str, *kinds: str) -> list[str]:
    """How a text was read, also where it is no size; empty where it is not understood."""
    try:
        return read_as(read(text), *kinds)
    except TextError as refused:
        return [A_NUMBER] if refused.code == "text_is_number" else []


def _sizes(one: Meaning) -> str:
    said, sizes = one.said, dict(one.sizes)
    words = []
    if one.dash:
        words.append(f"size {one.dash} of AS568")
    if said.thread is not None:
        words.append(f"thread {said.thread.name}")
        sizes = {name: number for name, number in sizes.items() if name not in ("thread_mm", "pitch_mm")}
    order = list(sizes) if said.loose else sorted(sizes, key=MEASURES.index)
    words += [f"{OF_KIND.get((one.kind, name), NAMES[name])} {_mm(sizes[name])}" for name in order]
    if said.compound:
        words.append(" ".join(word for word in (said.compound, said.hardness) if word))
    words += [f"{said.hand}-hand thread"] if said.hand else []
    words += [said.form] if said.form else []
    if one.count is not None:
        words.append(f"{one.count} piece{'' if one.count == 1 else 's'}")
    return "".join(f", {word}" for word in words)


def _mm(number: Number) -> str:
    text = f"{number.mm:.3f}".rstrip("0").rstrip(".")
    if number.about:
        return f"about {text} mm"
    told = number.error is not None and number.error > 0.0011 and bool(number.written)
    return f"{text} ±{number.error:.3g} mm" if told else f"{text} mm"


def _or(titles: list[str]) -> str:
    *first, last = titles
    return f"{', '.join(first)} or {last}" if first else last
