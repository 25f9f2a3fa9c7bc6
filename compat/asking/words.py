"""Words that several questions put beside their fields, and the headings of the fit desk."""

from __future__ import annotations

STRIPPED, JOINT = "A stripped damper, an unknown part", "Threads and joint"
SEALS, SHIMS = "Seals and wear", "Shims and stack"
ABOUT = (STRIPPED, JOINT, SEALS, SHIMS)  # in the order of the desk
