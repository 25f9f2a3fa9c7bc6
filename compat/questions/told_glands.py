"""A gland as several questions take it."""

from __future__ import annotations

from compat.asking.fields import measured, request, word
from compat.asking.requests import refuse
from compat.engineering.seals import gland as engine
from compat.engineering.units import Range

GLAND, FACE_GROOVE = "Its gland", "A face groove, if it is one"
KINDS = {"piston": "a piston's, in a bore", "rod": "a rod's, in a housing", "face": "between two faces"}
# What each kind of gland has, beside the gap that every kind may have.
OWN = {kind: (*names, "width_mm", *(("land_mm",) if kind != "face" else ())) for kind, names in engine.NEEDED.items()}
SIZES = tuple(dict.fromkeys(name for names in OWN.values() for name in names))


@request
class Gland:
    """A gland: of a piston, of a rod or of a face, and the sizes of that kind."""

    kind: str = word(KINDS, "The gland is", needed=True, group=GLAND)
    bore_mm: Range | None = measured("Bore", least_um=1, help="Of a piston's gland.", letter="C", group=GLAND)
    rod_mm: Range | None = measured("Rod", least_um=1, help="Of a rod's gland.", letter="E", group=GLAND)
    groove_mm: Range | None = measured("Groove, diameter", least_um=1, help="Of its bottom.", letter="D", group=GLAND)
    width_mm: Range | None = measured("Groove, width", least_um=1, letter="F", group=GLAND)
    land_mm: Range | None = measured(
        "Part beside the groove", least_um=1, help="Piston, or hole of the housing.", letter="K", group=GLAND
    )
    extrusion_gap_mm: Range | None = measured(
        "or the gap there",
        most_um=20_000,
        help="In diameter; of a face, between the two.",
        letter="L",
        group=GLAND,
        later=True,
    )
    depth_mm: Range | None = measured(
        "Groove, depth", least_um=1, help="With its lid closed.", letter="G", group=FACE_GROOVE, later=True
    )
    inner_mm: Range | None = measured("Groove, inner diameter", least_um=1, letter="H", group=FACE_GROOVE, later=True)
    outer_mm: Range | None = measured("Groove, outer diameter", least_um=1, letter="J", group=FACE_GROOVE, later=True)
    pressure_from: str | None = word(("inside", "outside"), "Pressure comes from", group=FACE_GROOVE, later=True)

    def check(self) -> None:
        if self.pressure_from and self.kind != "face":
            refuse("other_kind", pressure_from="only a face gland asks it")
        if self.land_mm and self.extrusion_gap_mm:
            refuse("two", extrusion_gap_mm="give this or the diameter beside the groove, not both")
        foreign = [name for name in SIZES if getattr(self, name) is not None and name not in OWN[self.kind]]
        if foreign:
            refuse("other_kind", **dict.fromkeys(foreign, f"a {self.kind} gland has {', '.join(OWN[self.kind])}"))

    def as_told(self) -> engine.Gland:
        """For the engine."""
        return engine.Gland(
            kind=self.kind,
            bore_mm=self.bore_mm,
            rod_mm=self.rod_mm,
            groove_mm=self.groove_mm,
            depth_mm=self.depth_mm,
            inner_mm=self.inner_mm,
            outer_mm=self.outer_mm,
            width_mm=self.width_mm,
            pressure_from=self.pressure_from,
            land_mm=self.land_mm,
            extrusion_gap_mm=self.extrusion_gap_mm,
        )
