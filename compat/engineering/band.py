"""The band question: does a piston's band, on its energiser O-ring, still seal in this bore?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from compat.engineering.answers import Answer, Finding, Value, Verdict, ask, note, stop, verdict_of
from compat.engineering.corners import judged, room
from compat.engineering.seals.cold import ROOM_C, coldest_findings, shrinkage
from compat.engineering.seals.limits import judge_most_squeeze, judge_stretch
from compat.engineering.seals.ring import Floats, Ring, section_findings, section_loss_percent
from compat.engineering.units import Range

QUESTION = "band"
SOURCES = ("as568", "iso_3601_2", "trade")
CAUTIONS = ("new_seals", "worn_body", "makers_instructions")
VALUES = (
    *("free_od_mm", "interference_mm", "squeeze_percent", "cold_squeeze_percent"),
    *("stretch_percent", "wear_left_mm"),
)
_SPAN = (np.min, np.max, lambda values: values[-1])
DOUBTS = {"band_groove_has_no_room", "band_od_contradicts", "section_contradicts_size", "band_looks_like_inches"}
MOST_PERCENT = 30.0  # squeeze past which a band drags and its energiser sets; the most of any radial seal
ABSURD_PERCENT = -20.0  # no band and no bore differ so much: a reading is wrong
LEAST_PERCENT, REJECT_PERCENT = 8.0, 5.0  # squeeze of the energiser; the reciprocating seal's least, and no seal
APART_MM = 0.10  # by which a measured diameter may pass what the sizes allow before one of them is doubted
WARM = Range.exact(1.0)  # nothing of the energiser has shrunk
TIMES = 10  # by which two diameters of one assembly never differ


@dataclass(frozen=True, slots=True)
class Band:
    """A band over its energiser on a piston. All mm, None where not measured: `bore_mm` of the body, `groove_mm` the
    diameter of the groove's bottom, `band_thickness_mm` radial and new, `energiser` the free ring,
    `energiser_section_mm` as it was read on the ring itself, `measured_od_mm` over the band on its energiser with the
    caliper only touching, `band_wear_radial_mm`, `bore_wear_diametral_mm` (both beyond the sizes above). `coldest_c`:
    how cold it becomes, degrees Celsius, None where not known."""

    bore_mm: Range | None = None
    groove_mm: Range | None = None
    band_thickness_mm: Range | None = None
    energiser: Ring | None = None
    energiser_section_mm: Range | None = None
    measured_od_mm: Range | None = None
    band_wear_radial_mm: Range | None = None
    bore_wear_diametral_mm: Range | None = None
    coldest_c: float | None = None


def band(told: Band) -> Answer:
    """Does the energiser still press the band against the bore?

    `fits` means: the band's diameter or the energiser's section was measured, every other size is known, and at the
    worst corner with the measured wear the band is larger than the bore, its energiser squeezed by 8 to 30 %, by 8 % at
    the coldest too, and stretched by at most 8 %. Values: `free_od_mm` (as measured, else reckoned), `interference_mm`
    (over the worn bore), `squeeze_percent`, `cold_squeeze_percent` (None without `coldest_c`; ranges),
    `stretch_percent` of the energiser, `wear_left_mm` (how much the bore may still grow in diameter, at the coldest
    where that is known; None where open). Raises ValueError for sizes of zero. Source: plane geometry of the groove;
    the section's loss by ISO 3601-2; the cold as in `seals.cold`, of the band's own thickness nothing; the touch of the
    caliper is common practice. Free OD = G + 2 (W' + t); squeeze = (W' - ((bore - G)/2 - t)) / W'; interference = 2 W'
    squeeze.
    """
    _check(told)
    values: dict[str, Value] = dict.fromkeys(VALUES)
    findings = _missing(told)
    inches, wholly = _inches(told)
    findings += inches
    if wholly:
        return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
    if told.measured_od_mm is not None and told.bore_mm is not None:
        findings += _touch(told.measured_od_mm, told.bore_mm)
    sizes = (told.bore_mm, told.groove_mm, told.band_thickness_mm)
    if told.energiser is None or None in sizes:
        return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
    if told.energiser_section_mm is not None:
        findings += section_findings(told.energiser.section_mm, told.energiser_section_mm)
    corners, possible = _corners(told)
    if not possible.all():
        findings.append(ask("band_groove_may_have_no_room") if possible.any() else stop("band_groove_has_no_room"))
        return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
    free, interference, squeeze, left = (Range(*(float(end(one)) for end in _SPAN)) for one in corners)
    stretch = _stretch(told)
    findings += [*judge_stretch(stretch), *_judged(interference, squeeze)]
    if told.coldest_c is not None:
        colder, possible = _corners(told, shrinkage(told.coldest_c))
        if not possible.all():
            findings.append(ask("band_groove_may_have_no_room"))
            return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
        _, apart, cold, left = (Range(*(float(end(one)) for end in _SPAN)) for one in colder)
        values["cold_squeeze_percent"] = cold
        findings += _judged_cold(apart, cold, findings)
    values["stretch_percent"] = stretch
    values |= {"free_od_mm": free, "interference_mm": interference, "squeeze_percent": squeeze, "wear_left_mm": left}
    if told.measured_od_mm is not None:
        findings += _doubt(told)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def mending(told: Band, nominal_bore: Range | None) -> tuple[str, ...] | None:
    """What would make a band seal again that does not: ("energiser",), ("energiser", "band"), the same with "maybe"
    before the band where it is open whether the energiser alone would do, or () for the body.

    A new O-ring has the sizes of the ring that belongs there, a new band no wear; the bore stays as it was read. The
    body is only at fault where new parts would seal in its nominal bore, mm, and do not in this one. Where it is not
    known how cold it becomes, new parts are tried in the warmth: the cold is asked for beside it. None where what
    is there seals, where a reading is doubted, or where too little is known.
    """
    if told.coldest_c is None:
        told = replace(told, coldest_c=ROOM_C)
    found = band(told).findings
    if verdict_of(found) is not Verdict.DOES_NOT_FIT or told.energiser is None or {one.code for one in found} & DOUBTS:
        return None
    none = Range.exact(0.0)
    fresh = replace(told, energiser_section_mm=told.energiser.section_mm, measured_od_mm=None)
    alone = verdict_of(band(fresh).findings)
    if alone is Verdict.FITS:
        return ("energiser",)
    both = replace(fresh, band_wear_radial_mm=none)
    together = verdict_of(band(both).findings)
    if together is Verdict.FITS:
        return ("energiser", "band") if alone is Verdict.DOES_NOT_FIT else ("energiser", "maybe", "band")
    if together is not Verdict.DOES_NOT_FIT or nominal_bore is None:
        return None
    unworn = replace(both, bore_mm=nominal_bore, bore_wear_diametral_mm=none)
    return () if verdict_of(band(unworn).findings) is Verdict.FITS else None


def _check(told: Band) -> None:
    for name in ("bore_mm", "groove_mm", "band_thickness_mm", "energiser_section_mm", "measured_od_mm"):
        size = getattr(told, name)
        if size is not None and not size.low > 0:
            raise ValueError(f"{name} is above zero")


def _missing(told: Band) -> list[Finding]:
    found = [
        ask(f"band_{name.removesuffix('_mm')}_missing", "trade")
        for name in ("bore_mm", "groove_mm", "band_thickness_mm", "energiser")
        if getattr(told, name) is None
    ]
    if told.measured_od_mm is None and told.energiser_section_mm is None:
        found.append(ask("band_od_missing", "trade"))
    if told.measured_od_mm is None and told.band_wear_radial_mm is None:
        found.append(ask("band_wear_missing", "trade"))
    if told.bore_wear_diametral_mm is None:
        found.append(ask("bore_wear_missing", "trade"))
    return [*found, *coldest_findings(told.coldest_c)]


def _inches(told: Band) -> tuple[list[Finding], bool]:
    """Diameters of one assembly that may be ten times apart: one was typed in inches. And whether they surely are."""
    told_sizes = {
        "bore_mm": told.bore_mm,
        "groove_mm": told.groove_mm,
        "measured_od_mm": told.measured_od_mm,
        "energiser": None if told.energiser is None else told.energiser.id_mm,
    }
    sizes = [size for size in told_sizes.values() if size is not None]
    if not sizes:
        return [], False
    largest = max(sizes, key=lambda size: size.high)
    small = [size for size in sizes if size.low * TIMES < largest.high]
    surely = any(size.high * TIMES < max(one.low for one in sizes) for size in small)
    found = [ask("band_looks_like_inches", "", size_mm=small[0].nominal, other_mm=largest.nominal)] if small else []
    return found, surely


def _touch(measured: Range, bore: Range) -> list[Finding]:
    """The check at the bench: lightly touched, the band must be larger than the bore. Never sufficient."""
    data = {"measured_mm": measured.nominal, "bore_mm": bore.nominal}
    found = judged(
        measured - bore,
        never=stop("energiser_worn_flat", "trade", **data),
        perhaps=ask("energiser_may_be_flat", "trade", **data),
        strict=True,
    )
    return found or [note("touch_is_not_enough", "trade", **data)]


def _corners(told: Band, shrunk: Range = WARM) -> tuple[Floats, NDArray[np.bool_]]:
    """(free diameter, interference, squeeze in percent, wear left) at every corner, the nominal sizes last, as an array
    of shape (4, corners); and at which of them the groove leaves room. A measured diameter governs over one that is
    reckoned. `shrunk`: what is left of the energiser's lengths in the cold, as a part of them; a diameter that was
    measured warm is smaller there by what the section loses."""
    assert told.bore_mm is not None and told.groove_mm is not None
    assert told.band_thickness_mm is not None and told.energiser is not None
    none = Range.exact(0.0)
    sizes = [
        told.bore_mm + (told.bore_wear_diametral_mm or none),
        told.groove_mm,
        told.band_thickness_mm - (told.band_wear_radial_mm or none),
        told.energiser.id_mm,
        told.energiser_section_mm or told.energiser.section_mm,
        told.measured_od_mm or none,
        shrunk,
    ]
    # Between the ends of the groove three values more: a small ring's loss of section need not be largest at an end.
    ends = [np.linspace(size.low, size.high, 5 if n == 1 else 2) for n, size in enumerate(sizes)]
    every = np.stack([one.ravel() for one in np.meshgrid(*ends, indexing="ij")])
    nominal = np.array([[size.nominal] for size in sizes])
    bore, groove, thickness, inner, section, outer, part = np.concatenate([every, nominal], axis=1)
    warm, left = (_left(groove, inner * by, section * by) for by in (1.0, part))
    free = outer - 2 * (warm - left) if told.measured_od_mm is not None else groove + 2 * (left + thickness)
    interference = free - bore
    possible = (left > 0) & (thickness > 0) & (bore > groove) & (free > groove + 2 * thickness)
    squeeze = 100 * interference / np.where(left > 0, 2 * left, 1.0)
    return np.stack([free, interference, squeeze, interference - 2 * left * LEAST_PERCENT / 100]), possible


def _left(groove: Floats, inner: Floats, section: Floats) -> Floats:
    """The section that stretching over the groove leaves, mm; arrays of one shape."""
    return np.asarray(section * (1 - section_loss_percent(100 * (groove - inner) / inner) / 100))


def _stretch(told: Band) -> Range:
    assert told.groove_mm is not None and told.energiser is not None
    groove, inner = told.groove_mm, told.energiser.id_mm
    return Range(
        100 * (groove.low / inner.high - 1),
        100 * (groove.high / inner.low - 1),
        100 * (groove.nominal / inner.nominal - 1),
    )


def _judged(interference: Range, squeeze: Range) -> list[Finding]:
    data = {
        "low": squeeze.low, "high": squeeze.high, "least": LEAST_PERCENT, "reject": REJECT_PERCENT,
        "interference_mm": interference.low,
    }  # fmt: skip
    if squeeze.high < ABSURD_PERCENT:
        return [ask("band_far_too_small", "trade", **data)]
    if squeeze.high < REJECT_PERCENT or interference.high <= 0:
        return [stop("band_does_not_seal", "trade", **data)]
    least = room(squeeze, least=Range.exact(LEAST_PERCENT))
    unsure = ask("band_may_not_seal", "trade", **data)
    return judged(least, never=unsure, perhaps=unsure) or judge_most_squeeze(squeeze, MOST_PERCENT)


def _judged_cold(interference: Range, squeeze: Range, warm: list[Finding]) -> list[Finding]:
    """The same at the coldest: only what is not said of the warm band already."""
    if any(one.code in ("band_far_too_small", "band_does_not_seal") for one in warm):
        return []
    data = {"low": squeeze.low, "high": squeeze.high, "least": LEAST_PERCENT, "reject": REJECT_PERCENT}
    if squeeze.high < REJECT_PERCENT or interference.high <= 0:
        return [stop("band_does_not_seal_cold", "trade", **data)]
    if any(one.code == "band_may_not_seal" for one in warm):
        return []
    unsure = ask("band_may_not_seal_cold", "trade", **data)
    return judged(room(squeeze, least=Range.exact(LEAST_PERCENT)), never=unsure, perhaps=unsure)


def _doubt(told: Band) -> list[Finding]:
    """A measured diameter that may be larger than its parts make it: one of the readings is wrong."""
    assert told.measured_od_mm is not None
    (free, *_), possible = _corners(replace(told, measured_od_mm=None))
    if not possible.any():
        return []
    parts = Range.between(float(free[possible].min()), float(free[possible].max()))
    data = {"measured_mm": told.measured_od_mm.nominal, "least_mm": parts.low, "most_mm": parts.high}
    doubt = ask("band_od_contradicts", "trade", **data)
    return judged(parts + Range.exact(APART_MM) - told.measured_od_mm, never=doubt, perhaps=doubt)
