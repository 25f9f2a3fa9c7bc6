"""Words on screen: nobody reads a field's name or a label that was coined here."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from compat import texts
from compat.engineering.answers import ask
from compat.texts.rendering import ONE_OF, sentence
from inventory.common.sizes.refusals import REFUSALS

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(
    [
        *ROOT.glob("compat/templates/**/*.html"),
        *ROOT.glob("compat/questions/*/*.html"),
        *ROOT.glob("inventory/templates/**/*.html"),
    ]
)
# A field's name as programs write it, or the address of a question.
RAW = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b|\b(?:nut-on-shaft|face-shim|thread-reading|stack-curve|parts-by-size)\b")
LABELS = (
    *(
        "Narrow",
        "Leave it",
        "Start anew",
        "Have at hand",
        "What to mind",
        "What to mend",
        "As good",
        "Nearly it",
        "Look",
    ),
    *("Whatever the answer", "Still open of it", "Besides", "Take its sizes", "Keep it true", "says the ledger"),
)
COINED = re.compile(rf"\b(?:{'|'.join(LABELS)})\b(?=\s*[<:.,]|$)|\b[Rr]eckon\w*\b")
TAG = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}|<(?:code|script).*?</(?:code|script)>|<[^>]*>", re.DOTALL)
SAID = {**texts.TEXTS, **texts.METHODS, **texts.SOURCES, **texts.CAUTIONS, **REFUSALS}


def words_of(template: str) -> list[str]:
    """What a template shows, piece by piece between its tags."""
    return [piece.strip() for piece in TAG.sub("\n", template).splitlines() if piece.strip()]


@pytest.mark.parametrize("code", sorted(SAID))
def test_no_sentence_has_a_field_s_name_or_a_coined_label(code: str) -> None:
    said = re.sub(r"\{[^}]*\}", "", SAID[code])
    assert not RAW.search(said), RAW.findall(said)
    assert not COINED.search(said), COINED.findall(said)


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_no_page_has_a_field_s_name_or_a_coined_label(template: Path) -> None:
    for said in words_of(template.read_text(encoding="utf-8")):
        assert not RAW.search(said), said
        assert not COINED.search(said), said


def test_the_words_are_found_where_they_stand() -> None:
    assert words_of("<p><b>Have at hand:</b> {{ x }}</p>") == ["Have at hand:"]
    assert COINED.search("Have at hand:") and COINED.search("Look") and COINED.search("it reckons so")
    assert not COINED.search("Look at the shelf") and RAW.search("send threads_per_inch") and RAW.search("od_mm")


def test_one_of_a_thing_is_said_in_the_singular() -> None:
    said = sentence(ask("too_few_depths", depths=1, apart_mm=10.0, least=3))
    assert said.startswith("Depths read 10 mm or more apart: 1;")
    assert ONE_OF.sub(r"1 \1", "1 depths, 1 pieces, 11 pieces") == "1 depth, 1 piece, 11 pieces"


@pytest.mark.parametrize(("percent", "said"), [(18.3421, "18 %"), (1.8342, "1.8 %"), (0.1834, "0.18 %"), (0.0, "0 %")])
def test_a_percentage_has_the_digits_that_it_deserves(percent: float, said: str) -> None:
    template = next(code for code, text in texts.TEXTS.items() if "{worst_percent" in text)
    fields = dict.fromkeys(re.findall(r"\{(\w+)", texts.TEXTS[template]), 1.0) | {"worst_percent": percent}
    assert f" {said}" in sentence(ask(template, "", **fields))
