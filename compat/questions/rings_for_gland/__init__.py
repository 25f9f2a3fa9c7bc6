"""Which rings in stock fit this gland?"""

from __future__ import annotations

from django.conf import settings

from compat.asking.fields import flag, quantity, refuse_value, request, text, within, word
from compat.asking.question import Question
from compat.engineering.answers import Answer
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.seals.compounds import COMPOUNDS, Service, compound_called
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.search import reach_of
from compat.engineering.seals.shelf_life import POLICIES
from compat.questions import told_glands, told_service
from compat.questions.told_service import MOTIONS
from compat.shelf import shim_rows
from compat.texts.refusals import engine_errors
from inventory.common.clock import today
from inventory.people.roles import STAFF

MOST_RINGS = 50


def known_compound(written: str) -> None:
    """Refuses what no ring here is made of."""
    if compound_called(written) is None:
        refuse_value("no_compound", f"must be one of {', '.join(COMPOUNDS)}")


@request
class RingsForGland(told_service.Service):
    """Which rings in stock fit this gland? `compound`: only rings of it."""

    gland: told_glands.Gland = within(told_glands.Gland, needed=True)
    motion: str = word(MOTIONS, needed=True)
    compound: str | None = text(most=40, accepts=known_compound)
    shelf_life_policy: str | None = word(POLICIES)
    most: int = quantity(most=MOST_RINGS, default=10)
    over_age: bool = flag()


def answer(asked: RingsForGland) -> Answer:
    """Draws on the shelf, in three queries or none. Raises DomainError `invalid` for what cannot be read."""
    return found_for(
        asked.gland.as_told(),
        asked.motion,
        asked.service(compound_called(asked.compound)),
        most=asked.most,
        policy=asked.shelf_life_policy,
        over_age=asked.over_age,
    )


def found_for(
    gland: Gland, motion: str, service: Service, *, most: int, policy: str | None = None, over_age: bool = False
) -> Answer:
    """The same of a gland that is told already; of the compound of `service` where that has one."""
    found = shim_rows.rings_within(reach_of(gland, motion), compound=service.compound)
    search = Search(
        gland=gland,
        motion=motion,
        service=service,
        on=today(),
        policy=policy or settings.SHELF_LIFE,
        most=most,
        over_age=over_age,
    )
    with engine_errors("gland"):
        return rings_for_gland(found.rings, search, searched=found.searched)


QUESTION = Question(
    "rings-for-gland",
    "Which rings in stock fit this gland? Looks at the shelf, so it is for the workshop.",
    RingsForGland,
    answer,
    roles=STAFF,
)
