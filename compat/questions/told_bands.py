"""A piston's band on its energiser, as several questions take it."""

from __future__ import annotations

from compat.asking.fields import measured, number, request, within
from compat.engineering.band import Band
from compat.engineering.units import Range
from compat.questions.told_rings import ENERGISER, FreeRing, ring_of

PISTON, BAND_ITSELF, WEAR = "Body and piston", "The band", "Wear"


@request
class BandOnPiston:
    """A band on its energiser, in no bore and at no heat."""

    groove_mm: Range | None = measured("Groove, diameter of its bottom", least_um=1, letter="B", group=PISTON)
    band_thickness_mm: Range | None = measured(
        "Thickness when new", least_um=1, most_um=50_000, help="Radial.", letter="C", group=BAND_ITSELF
    )
    measured_od_mm: Range | None = measured(
        "Over the band, lightly touched",
        least_um=1,
        help="On its energiser, the caliper only touching.",
        letter="F",
        group=BAND_ITSELF,
    )
    energiser: FreeRing | None = within(
        FreeRing,
        group=ENERGISER,
        labels={"section_mm": "and section when new"},
        helps={"section_mm": ""},
        letters={"id_mm": "D", "section_mm": "E"},
        called={"section_mm": "new_section_mm"},
    )
    energiser_section_mm: Range | None = measured(
        "Section as read",
        least_um=1,
        most_um=50_000,
        help="At three places; the flattest.",
        letter="E",
        group=ENERGISER,
    )
    band_wear_radial_mm: Range | None = measured(
        "Worn off the band", most_um=20_000, help="Radial; 0 if it is new.", letter="G", group=WEAR
    )

    def band(
        self,
        energiser: str,
        *,
        coldest_c: float | None,
        bore_mm: Range | None = None,
        worn_mm: Range | None = None,
    ) -> Band:
        """The band in a bore; `energiser` is the path of its ring. Raises DomainError `invalid`."""
        return Band(
            bore_mm=bore_mm,
            groove_mm=self.groove_mm,
            band_thickness_mm=self.band_thickness_mm,
            energiser=ring_of(self.energiser, energiser),
            energiser_section_mm=self.energiser_section_mm,
            measured_od_mm=self.measured_od_mm,
            band_wear_radial_mm=self.band_wear_radial_mm,
            bore_wear_diametral_mm=worn_mm,
            coldest_c=coldest_c,
        )


@request
class BandInBore(BandOnPiston):
    """A band on its energiser, without the bore that it runs in."""

    coldest_c: float | None = number("Coldest", least=-100, most=400, unit="°C", help="Of the oil.", group=WEAR)
