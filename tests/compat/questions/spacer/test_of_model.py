"""What a damper model tells the spacer question."""

from __future__ import annotations

from dataclasses import replace

from compat.questions.spacer import told
from inventory.dampers.document import BasePlates
from inventory.documents.lengths import Length
from tests.api.conftest import damper_document, stored

DAMPER = stored(damper_document())


def test_the_largest_spacer_is_the_smallest_that_the_contact_diameter_may_be() -> None:
    """A spacer that is larger overhangs the plate on which it lies; common practice, no published source."""
    valve = DAMPER.valves[0]
    plate = valve.plate("rebound")
    assert plate is not None
    read = replace(plate, contact_diameter_mm=Length(27.6, 28.4, 28.0))
    vague = replace(valve, base_plates=BasePlates(compression=valve.plate("compression"), rebound=read))
    assert told(DAMPER, vague, "")["spacer_max_od_mm"] == 27.6
