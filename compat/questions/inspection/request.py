"""What the inspection sheet takes: the readings of a stripped damper, each part by itself."""

from __future__ import annotations

from compat.asking.fields import measured, request, spread, text, within, word
from compat.asking.requests import refuse
from compat.engineering.units import Range
from compat.questions.bore import BoreRead
from compat.questions.nut_on_shaft import Nut, Shaft
from compat.questions.shaft import ShaftWear
from compat.questions.told_bands import BandOnPiston
from compat.questions.told_rings import FreeRing
from compat.questions.told_service import COMPOUNDS, HARDNESS, MOTIONS, Service

BORE_PART, BAND_PART, SHAFT_PART = "The body's bore", "The band and its O-ring", "The shaft"
SEAL_PART, OIL = "The ring in the seal head", "Oil and heat, for every seal"
SHAFT_THREAD, NUT_THREAD = "The shaft's thread", "The nut that was on it"
READ_OF_THREADS = ("gauged_pitch_mm", "hand", "end_condition", "major_mm", "minor_mm", "locking")


@request
class BandRead(BandOnPiston):
    """The band on its energiser; its width along the piston tells which new one would go on. How cold it becomes, the
    oil tells."""

    width_mm: Range | None = measured("Width along the piston", least_um=1, most_um=200_000, help="To find a new one.")


@request
class SealRead:
    """The ring round the shaft in the seal head: which it should be, its section as read, its groove, and the
    head's hole beside that, or the gap that is left there in diameter."""

    section_mm: Range | None = measured(
        "Section as read", least_um=1, most_um=50_000, help="Where it is flattest.", letter="B"
    )
    ring: FreeRing | None = within(
        FreeRing,
        labels={"size": "Size it should be", "section_mm": "and section when new"},
        helps={"section_mm": ""},
        letters={"id_mm": "A", "section_mm": "B"},
        called={"section_mm": "new_section_mm"},
        first=("size",),
    )
    groove_mm: Range | None = measured("Groove, outer diameter", least_um=1, letter="D", later=True)
    width_mm: Range | None = measured("Groove, width", least_um=1, letter="F", later=True)
    land_mm: Range | None = measured("Hole of the head beside it", least_um=1, letter="K", later=True)
    extrusion_gap_mm: Range | None = measured(
        "or the gap there", most_um=20_000, help="In diameter.", letter="L", later=True
    )
    compound: str | None = text("Made of", most=40, words=COMPOUNDS, later=True)
    hardness_shore_a: Range | None = spread("How hard", least=10, most=100, unit="Shore A", help=HARDNESS, later=True)
    motion: str = word(dict(reversed(MOTIONS.items())), "The ring", default="dynamic", later=True)

    def check(self) -> None:
        if self.land_mm and self.extrusion_gap_mm:
            refuse("two", extrusion_gap_mm="give this or the diameter beside the groove, not both")


@request
class JointRead:
    """The shaft's thread and the nut that was on it."""

    shaft: Shaft | None = within(Shaft, null=False, group=SHAFT_THREAD, first=READ_OF_THREADS)
    nut: Nut | None = within(Nut, null=False, group=NUT_THREAD, first=READ_OF_THREADS)


@request
class Inspection:
    """The readings of a stripped damper. A damper model tells what is not told here; it is no reading of this one."""

    damper: str | None = text(most=40)
    bore: BoreRead | None = within(BoreRead, null=False, group=BORE_PART)
    band: BandRead | None = within(
        BandRead,
        null=False,
        group=BAND_PART,
        first=("measured_od_mm", "energiser_section_mm", "band_wear_radial_mm"),
    )
    shaft: ShaftWear | None = within(ShaftWear, null=False, group=SHAFT_PART)
    seal: SealRead | None = within(SealRead, null=False, group=SEAL_PART)
    joint: JointRead | None = within(JointRead, null=False)
    oil: Service | None = within(Service, null=False, group=OIL, labels={"fluid": "Oil"}, hidden=("backup_rings",))
