"""The corner law for every field of the curve questions: left out, or told as a range, none makes an answer better."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from itertools import combinations
from typing import Any

import pytest

from compat.engineering.answers import Answer, Verdict
from compat.questions import asks
from inventory.common.errors import DomainError
from tests.api.conftest import line
from tests.api.fit import without

Json = dict[str, Any]

STACK = [
    line(40, 0.15, 3, bore_mm=12),
    line(24, 0.1, bore_mm=12),
    line(38, 0.2, 2, bore_mm=12),
    line(30, 0.2, bore_mm=12),
    line(20, 0.3, bore_mm=12),
]
SOUND: Json = {
    "stack": STACK,
    "hub_radius_mm": 11,
    "base_radius_mm": 10,
    "pressure": {"inner_radius_mm": 12, "outer_radius_mm": 17.5, "open_fraction": 0.8},
    "preload": {"radius_mm": 18.5, "height_mm": 0.02},
    "lifts_mm": [0.02, 0.05],
    "youngs_gpa": 206,
    "poisson": 0.3,
    "edge_slip": 0.1,
    "yield_mpa": 1500,
}
POINTS = [{"lift_mm": lift, "force_n": force} for lift, force in ((0.02, 38.0), (0.05, 46.0), (0.1, 60.0))]
MEASURED: Json = {
    **{name: SOUND[name] for name in ("stack", "hub_radius_mm", "base_radius_mm", "pressure", "poisson")},
    "preload": None,
    "points": [{"lift_mm": lift, "force_n": 285 * lift} for lift in (0.03, 0.06, 0.09)],
    "thickness_error_mm": 0.002,
}
# What may be left out, since something else says it, or since it is no reading of a part.
NAMED = {
    "lifts_mm": "what is asked, no reading: without it the lifts are chosen inside of what the stack bears",
    "youngs_gpa": "of spring strip 180 to 220 GPa, a range that stands in the band; one told outside is asked about",
    "poisson": "of steel 0.27 to 0.31, a range that stands in the band; one told outside is asked about",
    "yield_mpa": "of spring strip 1200 to 1700 MPa, all of which counts; one told outside is asked about",
    "form": "the kind of part, no reading: a shim without a form is the round one, as in the catalogue",
    "thickness_error_mm": "the tolerance of the strip (ISO 9445-1), which is wider, stands in",
    "lot": "the readings of a lot; without it the nominal thickness with the strip's tolerance stands in",
}
BAD_CURVES = [
    {"hub_radius_mm": 5.5, "preload": None},  # the clamp lies inside the bore
    {"stack": [line(40, 0.15, 3, bore_mm=26), *STACK[1:]], "preload": None},
    {"preload": {"radius_mm": 21, "height_mm": 0.02}},  # the seat lies beside the face shim
    {"pressure": {"inner_radius_mm": 12, "outer_radius_mm": 20.5, "open_fraction": 0.8}},
    {"pressure": {"inner_radius_mm": 12, "outer_radius_mm": 17.5}},  # the open part is not known
    {"lifts_mm": [0.02, 0.5]},  # beyond the plates
    {"base_radius_mm": 20, "preload": None, "stack": [STACK[0], STACK[1], STACK[4]], "lifts_mm": [0.05, 0.5]},
    {"stack": [line(30, 1.0, bore_mm=12), line(20, 0.3, bore_mm=12)], "preload": None, "lifts_mm": [0.05, 0.1]},
]


def places(body: Any, path: str = "") -> Iterator[str]:
    """Every field of a body by its dotted path, nested ones too."""
    items = body.items() if isinstance(body, Mapping) else enumerate(body) if isinstance(body, list) else ()
    for name, value in items:
        here = f"{path}.{name}" if path else str(name)
        if isinstance(body, Mapping):
            yield here
        yield from places(value, here)


def answers(question: str, body: Json) -> Answer | None:
    """The answer; None where the body is refused, which is no answer at all."""
    serializer, answered = asks.QUESTIONS[question]
    try:
        return answered(asks.checked(serializer, body))
    except DomainError:
        return None


def never_better(question: str, body: Json) -> int:
    """Leaves out every field, alone and in pairs, and tells every radius as a range; says how many variants."""
    known = answers(question, body)
    assert known is not None and known.verdict is not Verdict.FITS, known
    may = [path for path in places(body) if path.rsplit(".", 1)[-1] not in NAMED]
    tried = 0
    for dropped in [*((path,) for path in may), *combinations([path for path in may if "stack." not in path], 2)]:
        changed = body
        for path in sorted(dropped, key=len, reverse=True):
            changed = without(changed, path)
        found = answers(question, changed)
        assert found is None or found.verdict is not Verdict.FITS, (dropped, found.findings)
        tried += 1
    for path in may:
        *way, last = path.split(".")
        changed = deepcopy(body)
        inner: Any = changed
        for name in way:
            inner = inner[int(name)] if name.isdigit() else inner[name]
        if not last.endswith(("radius_mm", "height_mm")):
            continue
        told = inner[last]
        for low, high in ((0.0, 0.5), (0.5, 0.0), (2.0, 2.0)):
            inner[last] = {"min": round(max(told - low, 0.001), 3), "max": round(told + high, 3)}
            found = answers(question, changed)
            assert found is None or found.verdict is not Verdict.FITS, (path, inner[last], found.findings)
            tried += 1
    return tried


def test_a_sound_curve_fits() -> None:
    found = answers("stack-curve", SOUND)
    assert found is not None and found.verdict is Verdict.FITS, found and found.findings


@pytest.mark.parametrize("changes", BAD_CURVES, ids=str)
def test_no_field_of_a_curve_left_out_makes_it_fit(changes: Json) -> None:
    assert never_better("stack-curve", {**SOUND, **changes}) > 30


def test_a_sound_measured_curve_fits() -> None:
    found = answers("curve-calibration", MEASURED)
    assert found is not None and found.verdict is Verdict.FITS, found and found.findings


@pytest.mark.parametrize(
    "changes",
    [
        {"hub_radius_mm": 5.5},
        {"pressure": {"inner_radius_mm": 12, "outer_radius_mm": 20.5}},
        {"points": [{"lift_mm": lift, "force_n": 9000 * lift**2} for lift in (0.03, 0.06, 0.09)]},
        {"points": [{"lift_mm": lift, "force_n": 600 * lift} for lift in (0.03, 0.06, 0.09)]},
    ],
    ids=str,
)
def test_no_field_of_a_measured_curve_left_out_makes_it_fit(changes: Json) -> None:
    assert never_better("curve-calibration", {**MEASURED, **changes}) > 10


@pytest.mark.parametrize("field", ["youngs_gpa", "poisson", "yield_mpa", "edge_slip"])
def test_what_stands_in_for_an_untold_number_is_its_whole_range(field: str) -> None:
    """So an answer that fits without the number fits with every usual one."""
    narrow, wide = SOUND, without(SOUND, field)
    for one, other in zip(_rows(narrow), _rows(wide), strict=True):
        if field != "yield_mpa":
            assert other["force_min_n"] < one["force_min_n"] and one["force_max_n"] < other["force_max_n"]


def _rows(body: Json) -> list[Json]:
    found = answers("stack-curve", body)
    assert found is not None
    return list(found.values["curve"])
