"""A workshop with a full shelf: thousands of lots of one part in one drawer."""

from __future__ import annotations

from inventory.receiving.opening.loading import load_shelf
from tests import people

COLUMNS = (
    *("part", "kind", "name", "lot", "drawer", "quantity", "received_on", "source", "readings_mm", "od_mm"),
    *("thickness_mm", "bore_mm", "form", "ring_id_mm", "section_mm", "size", "compound", "hardness", "cure_date"),
)
SHIM, RING, SHIM_DRAWER, RING_DRAWER = "FULL-SHIM", "FULL-RING", "F-01", "F-02"


def fill(lots: int = 2_000) -> None:
    """So many lots of one shim in one drawer, each with readings, and as many of one ring in another."""
    rows = [",".join(COLUMNS)]
    for number in range(lots):
        day = f"20{10 + number % 15}-0{1 + number % 9}-1{number % 10}"
        thick = 148 + number % 5
        readings = " ".join(f"0.{um}" for um in (thick, thick + 1, thick - 1))
        shim = (SHIM, "shim", "Full", f"FS{number:05}", SHIM_DRAWER, "3", day, "bag", readings)
        rows.append(",".join((*shim, "30", "0.15", "12", "round", "", "", "", "", "", "")))
        ring = (RING, "oring", "Full ring", f"FR{number:05}", RING_DRAWER, "3", day, "bag", "")
        rows.append(",".join((*ring, "", "", "", "", "37.69", "3.53", "222", "NBR", "70", "2024-Q3")))
    loaded = load_shelf(content="\n".join(rows).encode(), actor=people.clerk(), progress=lambda *told: None)
    assert loaded.faults == [] and loaded.lots == 2 * lots
