"""What parts by size takes: a text as it is typed at the bench, or sizes by name."""

from __future__ import annotations

from compat.asking.fields import as_typed, length, measured, number, refuse_value, request, text, within, word
from compat.asking.requests import refuse
from compat.engineering.units import Range
from inventory.common.sizes.measures import KINDS

MOST_TYPED = 300  # signs; how long a text may be to be read, the reader says
NAMED = (
    *("od_mm", "id_mm", "bore_mm", "section_mm", "thickness_mm", "height_mm", "across_flats_mm", "pitch_mm"),
    *("threads_per_inch", "thread_mm", "thread"),
)


@request
class ReadSizes:
    """Sizes as read; each at most once, and the thread or the AS568 size as written on the part or its bag."""

    od_mm: Range | None = measured(least_um=1)
    id_mm: Range | None = measured(least_um=1)
    bore_mm: Range | None = measured(least_um=1)
    section_mm: Range | None = measured(least_um=1)
    thickness_mm: Range | None = measured(least_um=1)
    height_mm: Range | None = measured(least_um=1)
    across_flats_mm: Range | None = measured(least_um=1)
    pitch_mm: float | None = number(least=0.1, most=10)
    threads_per_inch: float | None = number(least=4, most=80)
    thread_mm: Range | None = measured(least_um=1)
    thread: str | None = text()
    size: str | None = text(most=20)
    hand: str | None = word(("right", "left"))

    def check(self) -> None:
        told = any(getattr(self, name) is not None for name in NAMED)
        if not told and self.size is None:
            refuse_value("required", "needs one size at least")
        if self.pitch_mm is not None and self.threads_per_inch is not None:
            refuse("two", threads_per_inch="give this or the pitch in millimetres, not both")
        if self.size is not None and (told or self.hand is not None):
            refuse("two", size="says both sizes of a ring: leave the others out")


@request
class PartsBySize:
    """Which part is this? Either `text`, or `sizes` with or without the kind."""

    text: str | None = as_typed(most=MOST_TYPED)
    kind: str | None = word(KINDS)
    sizes: ReadSizes | None = within(ReadSizes)
    tolerance_mm: float | None = length(most_um=10_000)

    def check(self) -> None:
        if self.text is not None and (self.kind, self.sizes, self.tolerance_mm) != (None, None, None):
            refuse("two", text="give this, or the kind, the sizes and how close they are")
        if self.text is None and self.sizes is None:
            refuse("required", text="is required, or sizes")
