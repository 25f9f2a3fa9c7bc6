"""What is kept of a curve of force against lift that was measured on a piston, as it is stored.

Read and written by inventory/documents/typed.py; lengths are in millimetres.
"""

from __future__ import annotations

from inventory.dampers.document import Line
from inventory.documents.lengths import Length
from inventory.documents.typed import Measured, Number, Part, Several, Text, document, need, null


@document
class Seat:
    """A seat land that stands proud of the clamped face and meets the face shim."""

    radius_mm: float = need(Number())
    height_mm: float = need(Number())


@document
class MountSizes:
    """The sizes that the model had: of the clamp, and of the ring that the oil presses on."""

    hub_radius_mm: float = need(Number())
    base_radius_mm: float = need(Number())
    inner_radius_mm: float = need(Number())
    outer_radius_mm: float = need(Number())
    preload: Seat | None = null(Part(Seat))


@document
class MeasuredShims:
    """Shims of the stack, and the thickness that they were taken to have."""

    thickness_mm: Length = need(Measured())
    od_mm: float = need(Number())
    quantity: int = need(Number(whole=True))


@document
class Point:
    """The lift at the face shim's rim, and the force of the oil on the whole ring, newtons."""

    lift_mm: float = need(Number())
    force_n: float = need(Number())


@document
class MeasuredCurve:
    """What was measured: the stack as it was sent, its points, the thicknesses that were counted, and the mount."""

    stack: tuple[Line, ...] = need(Several(Line))
    points: tuple[Point, ...] = need(Several(Point))
    shims: tuple[MeasuredShims, ...] = need(Several(MeasuredShims))
    mount: MountSizes = need(Part(MountSizes))


@document
class Steel:
    """A modulus, and how far the clamp's edge gives way, of a shim."""

    youngs_gpa: float = need(Number())
    edge_slip: float = need(Number())


@document
class CurveFit:
    """The numbers that explain a curve, what they leave open in percent of the force, the two others that explain it as
    well, and the version of the engine."""

    youngs_gpa: float = need(Number())
    edge_slip: float = need(Number())
    rms_percent: float = need(Number())
    worst_percent: float = need(Number())
    open_percent: float = need(Number())
    as_good: tuple[Steel, ...] = need(Several(Steel))
    engine: str = need(Text())

    @property
    def leaves_open(self) -> float:
        """Percent of the force that it leaves open: its worst point, and the thickness that was measured."""
        return self.worst_percent + self.open_percent
