"""A plan's request in the engine's terms, and the problem it poses on today's shelf."""

from __future__ import annotations

from typing import Any

import pytest

from compat.plans import also, problem, request
from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.plans.request import PlanRequest
from inventory.common.errors import DomainError
from inventory.dampers.selectors import damper_called
from inventory.holds.requests import Wanted
from inventory.stock.models import Condition
from tests import factories
from tests.api.conftest import STACKS, damper_document, lay_in, line, saved_damper

pytestmark = pytest.mark.django_db


def built(code: str = "HA-46", **asked: Any) -> PlanRequest:
    """The request as the API checks it, for a damper on file."""
    checked = PlanIn(data={"damper": code, "stacks": STACKS, **asked})
    checked.is_valid(raise_exception=True)
    return request.build(damper_called(code), asked_plan(checked.validated_data))


@pytest.fixture
def on_file(db: None) -> str:
    return saved_damper()


def test_every_line_is_a_position_with_its_role(on_file: str) -> None:
    positions = built().positions()
    assert [one.key for one in positions][:3] == ["main.compression.1", "main.compression.2", "main.compression.3"]
    assert [str(one.role) for one in positions] == ["face", "crossover", "taper", "taper", "clamp"] * 2
    assert all(one.in_height for one in positions)


def test_only_the_main_valves_lines_count_in_the_lips_height(on_file: str) -> None:
    document = damper_document("TWO")
    document["valves"].append({"code": "base", "shaft_mm": 8.0, "sides": {"compression": {}}})
    saved_damper(document)
    base = {"code": "base", "stacks": {"compression": [line(24, 0.1)]}}
    valves = [base, {"code": "main", "stacks": STACKS}]
    checked = PlanIn(data={"damper": "TWO", "valves": valves})
    checked.is_valid(raise_exception=True)
    wanted = request.build(damper_called("TWO"), asked_plan(checked.validated_data))
    assert [valve.code for valve in wanted.valves] == ["main", "base"]
    assert {one.key: one.in_height for one in wanted.positions()}["base.compression.1"] is False
    # The base valve's bolt has another diameter than the shaft.
    assert {one.key: one.size.bore_um for one in wanted.positions()}["base.compression.1"] == 8_000


def test_the_lip_leaves_a_window_on_the_shims_alone(on_file: str) -> None:
    """22 + 1.8 - 4 - 17.5 and 22 - 1.8 - 17.5 mm."""
    limits = built().lip_limits()
    assert limits is not None
    assert (limits.floor_um, limits.ceiling_um) == (2300, 2700)


def test_a_whole_number_in_a_reading_is_millimetres_too(on_file: str) -> None:
    limits = built(readings={"shoulder_to_lip_mm": 23, "on_straight_mm": 2, "past_lip_mm": 1}).lip_limits()
    assert limits is not None
    assert (limits.floor_um, limits.ceiling_um) == (2500, 3500)


def test_the_lip_is_no_part_of_the_search_while_something_is_unknown_or_one_side_is_left_out(on_file: str) -> None:
    assert built(stacks={"compression": STACKS["compression"]}).lip_limits() is None
    for name in ("shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm"):
        saved_damper(damper_document(f"NO-{name}", **{name: None}))
        assert built(f"NO-{name}").lip_limits() is None


def test_the_lip_is_no_part_of_the_search_where_its_plate_may_be_too_thin_for_it(on_file: str) -> None:
    """1.8 mm on the straight part and 1.8 mm past its end are 3.6 mm of plate: no shims mend what is missing there."""
    assert built(readings={"base_plate_mm": {"min": 3.5, "max": 4.1}}).lip_limits() is None
    limits = built(readings={"base_plate_mm": {"min": 3.7, "max": 4.1}}).lip_limits()
    assert limits is not None and (limits.floor_um, limits.ceiling_um) == (2600, 2700)


def test_the_spacer_is_larger_than_the_clamp_and_within_the_plate(on_file: str) -> None:
    posed = problem.pose(built(), taken={})
    assert posed.lip is not None
    assert (posed.lip.od_over_um, posed.lip.od_upto_um, posed.lip.bore_um) == (20_000, 28_000, 12_000)
    assert problem.pose(built(spacer=False), taken={}).lip is None


def test_the_shelf_is_read_for_the_families_asked_for_and_for_spacers(on_file: str) -> None:
    lay_in(line(36, 0.2), line(36, 0.3), line(40, 0.2), line(24, 0.1), line(29, 0.1))
    lay_in(line(36, 0.2), bore_mm=14)
    sizes = {
        (row.size.od_um, row.size.thickness_um, row.size.bore_um) for row in problem.pose(built(), taken={}).rows.rows
    }
    # 29 lies within reach of a short 28
    assert sizes == {(36_000, 200, 12_000), (36_000, 300, 12_000), (24_000, 100, 12_000), (29_000, 100, 12_000)}
    own = problem.pose(built(allow={"reach_mm": 0}), taken={}).rows.rows
    assert {row.size.od_um for row in own} == {36_000, 24_000}


def test_take_offs_are_read_only_when_they_are_allowed(on_file: str) -> None:
    lay_in(line(36, 0.2), condition=Condition.TAKE_OFF)
    assert problem.pose(built(), taken={}).rows.rows == []
    rows = problem.pose(built(allow={"take_offs": True}), taken={}).rows.rows
    assert [row.take_off for row in rows] == [True]


def test_what_other_lines_have_drawn_and_what_is_held_is_not_offered(on_file: str) -> None:
    shim = factories.shim(36, 0.2)
    balance = factories.stocked(shim, 10)
    factories.held(Wanted(quantity=3, balance=balance.pk))
    offered = problem.pose(built(), taken={balance.pk: 2}).problem.rows
    assert [row.available for row in offered] == [5]
    assert problem.pose(built(), taken={balance.pk: 7}).problem.rows == ()


def test_what_may_be_given_instead_reaches_the_search_in_its_own_units(on_file: str) -> None:
    posed = problem.pose(built(allow={"curve_percent": 2.5, "height_mm": 0.12, "stand_ins": False}), taken={})
    assert posed.problem.curve_limit_ppm == 25_000
    assert posed.problem.height_limit_um == 120
    assert posed.problem.allow_stand_ins is False
    default = problem.pose(built(), taken={}).problem
    assert (default.curve_limit_ppm, default.height_limit_um) == (150_000, None)


# --- other parts


def test_other_parts_are_drawn_oldest_first_and_never_twice(on_file: str) -> None:
    from datetime import date

    nut = factories.nut("M12x1.25", number="NUT")
    young = factories.stocked(nut, 2, received_on=date(2030, 3, 1), drawer="B-1")
    old = factories.stocked(nut, 2, received_on=date(2029, 3, 1), drawer="C-1")
    found = also.serve([("NUT", 3), ("NUT", 2)], shaft_thread="M12x1.25", shaft_hand="right")
    assert found.draws == {old.pk: 2, young.pk: 2}
    assert [one.missing for one in found.lines] == [0, 1]
    assert found.missing == 1
    assert [one.code for one in found.findings] == ["also_missing"]


@pytest.mark.parametrize(
    ("shaft", "hand", "codes"),
    [
        ("M12x1.25", "right", []),
        ("M12x1.5", "right", ["nut_is_another"]),
        ("M12x1.25", "left", ["nut_is_another"]),
        # What cannot be compared is no other nut: the nut question then asks for the shaft's thread.
        ("nonsense", "right", []),
    ],
)
def test_a_nut_is_compared_with_the_shaft(db: None, shaft: str, hand: str, codes: list[str]) -> None:
    factories.stocked(factories.nut("M12x1.25", number="NUT"), 1)
    found = also.serve([("NUT", 1)], shaft_thread=shaft, shaft_hand=hand)
    assert [one.code for one in found.findings] == codes


def test_nothing_asked_costs_nothing(db: None, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert also.serve([], shaft_thread=None, shaft_hand=None).draws == {}


def test_an_unknown_part_is_named_by_its_place(db: None) -> None:
    with pytest.raises(DomainError) as caught:
        also.serve([("NONE", 1)], shaft_thread=None, shaft_hand=None)
    assert [error.field for error in caught.value.errors] == ["also.0.part"]
