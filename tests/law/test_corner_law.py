"""The corner law over every question: what does not fit, or cannot be told, never fits once somebody has measured less.

No outside source is needed: the law is about the answers alone. Bases are requests as a bench would send them, with one
field spoiled; a variant leaves out or widens one or two fields of a base, nested ones and rows of lists too, the
spoiled one more often than the others.
"""

from __future__ import annotations

import random
from typing import Any

import pytest

from compat.engineering.answers import Verdict
from compat.questions import asks
from inventory.common import clock
from inventory.common.errors import DomainError
from tests import factories
from tests.compat.questions.rooms import can_fit, tried
from tests.law.fields import Body, Path, dotted
from tests.law.variants import spoiled, vaguer

CASES = can_fit()
VARIANTS = 450  # of each question
SLOW = {"stack-curve": 90, "stack": 240}  # a bending model, a whole valve
BASES = 45
PATIENCE = 40  # requests tried for a base that fits
SEED = 12


def verdict(question: str, body: Body) -> Verdict | None:
    """What the question says; None for a request that is refused."""
    form, work = asks.QUESTIONS[question]
    try:
        return work(dict(asks.checked(form, body))).verdict
    except DomainError:
        return None


def fitting(question: str, draw: random.Random) -> Body:
    """A request that fits."""
    tried = (CASES[question](draw) for _ in range(PATIENCE))
    found = next((body for body in tried if verdict(question, body) is Verdict.FITS), None)
    assert found is not None, f"no request of {question} fits: the law would prove nothing"
    return found


def bases(question: str, draw: random.Random) -> list[tuple[Body, Path, Verdict]]:
    """Requests that do not fit, each one field away from one that does."""
    form, found = asks.QUESTIONS[question][0](), list[tuple[Body, Path, Verdict]]()
    while len(found) < BASES:
        body = fitting(question, draw)
        for _ in range(8):
            changed = spoiled(draw, form, body)
            said = verdict(question, changed[0]) if changed else None
            if changed and said in (Verdict.CANNOT_TELL, Verdict.DOES_NOT_FIT):
                found.append((*changed, said))
    return found[:BASES]


@pytest.fixture
def shelf(db: None) -> None:
    """Shims for spacers, and rings of size -222 that are new enough."""
    for od in (22, 24, 26):
        for thickness in (0.1, 0.2, 0.3):
            um = round(thickness * 1000)
            factories.stocked(factories.shim(od, thickness), 20, readings_um=(um, um, um + 1))
    ring = factories.oring(size="222", compound="NBR", hardness="70")
    factories.stocked(ring, 20, cure_date=f"{clock.today().year}-Q1")


@pytest.mark.parametrize("question", sorted(CASES))
def test_no_verdict_becomes_fits_by_measuring_less(question: str, shelf: None) -> None:
    draw, form = random.Random(f"{SEED} {question}"), asks.QUESTIONS[question][0]()
    broken, asked, wanted = [], 0, SLOW.get(question, VARIANTS)
    for base, spoiled_at, said in bases(question, draw):
        for _ in range(wanted // BASES):
            body, done = vaguer(draw, form, base, spoiled_at)
            asked += 1
            if any(is_choice(question, dotted(path)) for _, path in done):
                continue
            if verdict(question, body) is Verdict.FITS:
                broken.append(f"{said}, spoiled at {dotted(spoiled_at)}; fits with {done}: {base} -> {body}")
    assert asked >= wanted - BASES
    assert not broken, f"{len(broken)} of {asked} variants got better:\n" + "\n".join(broken[:5])


def choices() -> list[tuple[str, str, str]]:
    """(question, path, reason) of all that may be left out."""
    return [(slug, path, reason) for slug, one in tried().items() for path, reason in one.choices.items()]


def is_choice(question: str, path: str) -> bool:
    """Whether a field, or one that it stands in, may be left out. A row of a list is named alone: what stands in it is
    a reading like any other."""
    return any(
        path == name or (path.startswith(f"{name}.") and not name.endswith("[]")) for name in tried()[question].choices
    )


def test_every_choice_names_a_field_that_exists_and_says_why() -> None:
    for question, path, reason in choices():
        form: Any = asks.QUESTIONS[question][0]()
        for name in path.replace("[]", "").split("."):
            assert name in form.fields, f"{question} has no field {path}"
            form = getattr(form.fields[name], "child", form.fields[name])
        assert reason.startswith(("a choice: ", "alternative: "))
