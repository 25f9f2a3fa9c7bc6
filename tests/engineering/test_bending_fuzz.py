"""Whatever is stacked, an answer is a true one or a clear refusal: never a wrong curve, never a hang."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import follow
from compat.engineering.bending.residuals import residuals
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount, Preload
from tests.engineering.cases_bending import CLAMP

diameters = st.one_of(
    st.sampled_from((20.0, 24.0, 30.0, 38.0, 40.0)),
    st.sampled_from((30.0, 30.001, 30.002, 29.999)),
    st.integers(15_000, 50_000).map(lambda um: um / 1000),
)
thickness = st.one_of(
    st.sampled_from((0.10, 0.15, 0.20, 0.30)),
    st.sampled_from((0.001, 0.002, 0.05, 1.0, 3.0)),
)
layers = st.lists(st.builds(Layer, diameters, thickness, st.sampled_from((1, 1, 1, 2, 8))), min_size=1, max_size=25)


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[Layer], Mount]:
    """A stack and a mount whose ring and seat lie under the face shim, now and then a little beside it."""
    stack = draw(layers)
    face = stack[0].od_mm / 2
    inner = draw(st.floats(0.2, 0.95))
    outer = draw(st.floats(inner + 0.04, 1.02))
    seat = st.builds(Preload, st.floats(0.6, 1.02).map(lambda share: share * face), st.sampled_from((0.001, 0.05, 0.5)))
    mount = Mount(
        draw(st.sampled_from((6.0, 9.5, 12.0))),
        draw(st.sampled_from((5.0, 9.0, 10.0, 14.0, 30.0))),
        inner * face,
        outer * face,
        draw(st.one_of(st.none(), st.none(), seat)),
        edge_slip=draw(st.sampled_from((0.0, 0.1, 1.0))),
    )
    return stack, mount


@settings(max_examples=300, deadline=None)
@given(cases(), st.sampled_from((1e-6, 0.01, 0.3, 1.0, 5.0, 100.0)))
def test_an_answer_is_true_or_refused(case: tuple[list[Layer], Mount], lift_mm: float) -> None:
    stack, mount = case
    try:
        path = follow(contacts_of(Groups.of(stack), mount), lift_mm)
    except (CannotBend, NotSolved):
        return
    assert np.isfinite(path.pressure_mpa).all() and np.isfinite(path.lift_mm).all() and np.isfinite(path.forces).all()
    assert (np.diff(path.pressure_mpa) >= 0).all() and (np.diff(path.lift_mm) >= 0).all()
    assert path.stopped or path.lift_mm[-1] >= lift_mm * (1 - 1e-5)
    assert (path.forces >= 0).all()
    contacts = path.contacts
    openings = contacts.matrix @ path.forces[-1] + contacts.gap + path.pressure_mpa[-1] * contacts.load
    scale = path.pressure_mpa[-1] * abs(contacts.load).max(initial=0.0) + max(-contacts.gap.min(initial=0.0), 0.0)
    assert openings.min(initial=0.0) >= -1e-3 * scale
    assert abs(openings[path.forces[-1] > 0]).max(initial=0.0) <= 1e-3 * scale


def _refusal(stack: list[Layer], mount: Mount) -> str:
    with pytest.raises(CannotBend) as refused:
        contacts_of(Groups.of(stack), mount)
    return refused.value.code


def test_what_cannot_be_bent_is_refused_by_name() -> None:
    plain = [Layer(40, 0.2), CLAMP]
    assert _refusal([Layer(20, 0.2), Layer(40, 0.3)], Mount(10, 10, 12, 18)) == "clamp_reaches_face"
    assert _refusal([Layer(20, 0.2), CLAMP], Mount(10, 10, 12, 18)) == "clamp_reaches_face"
    assert _refusal(plain, Mount(10, 10, 12, 20.5)) == "ring_beyond_face"
    assert _refusal(plain, Mount(10, 10, 21, 22)) == "ring_beyond_face"
    assert _refusal(plain, Mount(10, 10, 5, 9)) == "ring_inside_clamp"
    assert _refusal(plain, Mount(10, 10, 15, 15)) == "ring_without_width"
    assert _refusal(plain, Mount(10, 10, 12, 18, Preload(21, 0.1))) == "seat_beside_face"
    assert _refusal(plain, Mount(10, 20, 12, 18, Preload(18, 0.3))) == "seat_above_stop"
    assert _refusal([Layer(40, 3.0), Layer(4.0, 0.3)], Mount(10, 10, 12, 18, edge_slip=1.0)) == "clamp_edge_at_centre"
    distinct = [Layer(20 + number / 10, 0.1) for number in range(200)]
    assert _refusal(distinct[::-1], Mount(10, 10, 12, 18)) == "too_many_diameters"


def test_more_shims_than_any_damper_has_are_refused() -> None:
    with pytest.raises(CannotBend) as refused:
        Groups.of([Layer(40, 0.1, 201)])
    assert refused.value.code == "too_many_shims"
    with pytest.raises(ValueError, match="at least one shim"):
        Groups.of([])


def test_200_equal_shims_are_one_thick_plate() -> None:
    path = follow(contacts_of(Groups.of([Layer(40, 0.2, 199), CLAMP]), Mount(10, 10, 12, 18, edge_slip=0.0)), 0.1)
    assert path.pressures_at(np.array([0.1]))[0] == pytest.approx(199 * 0.02159, rel=1e-3)


@pytest.mark.parametrize("gap", [0.001, 0.0005])
def test_a_gap_of_a_micrometre_closes_at_once(gap: float) -> None:
    stack = [Layer(40, 0.15, 3), Layer(24, gap), Layer(38, 0.20, 2), CLAMP]
    path = follow(contacts_of(Groups.of(stack), Mount(10, 10, 12, 18)), 0.3)
    assert path.closings[0].lift_mm < 0.01
    assert residuals(path).penetration < 5e-3
