"""Text for people, by code. The engine says what it found; the words are here and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from compat.texts import (
    by_size,
    clearance,
    common,
    face_shim,
    inspection,
    lip,
    nut_on_shaft,
    parts,
    plan,
    seals,
    stack,
    stack_curve,
    thread_reading,
    torque,
    wear,
)

MODULES = (
    *(common, nut_on_shaft, thread_reading, torque, face_shim, stack, stack_curve, lip, plan, parts),
    *(seals, wear, clearance, inspection, by_size),
)


def _gathered(name: str) -> dict[str, str]:
    """The tables of that name of all modules as one. Raises ValueError where two disagree on a code."""
    found: dict[str, str] = {}
    tables: Iterable[Mapping[str, str]] = (getattr(module, name, {}) for module in MODULES)
    for table in tables:
        for code, text in table.items():
            if found.setdefault(code, text) != text:
                raise ValueError(f"two texts for {code} in {name}")
    return found


TEXTS = _gathered("TEXTS")
METHODS = _gathered("METHODS")
REFUSALS = _gathered("REFUSALS")
SOURCES = common.SOURCES
CAUTIONS = common.CAUTIONS
CONFIRM = plan.CONFIRM
