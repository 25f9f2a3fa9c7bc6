"""The words of a damper model's document, and how much it may hold."""

from __future__ import annotations

VALVES = ("main", "base", "mid")
SIDES = ("compression", "rebound")
# Where a washer or sleeve stands: at the shoulder, under the inner stack, or beyond the outer stack.
PLACES = ("shoulder", "inner", "outer")
HANDS = ("right", "left")
OILS = ("mineral_oil", "synthetic_oil", "glycol_brake_fluid", "other")
# Codes of models under which no page could be opened.
NO_CODES = ("new", ".", "..")
MOST_LINES = 60  # of one side of a stack
MOST_PIECES = 200
# Each limit, and the largest value that is not a slip of the unit: micrometres, or newton metres.
MOST_UM = {"bore_max_mm": 1_000_000, "shaft_min_mm": 1_000_000, "runout_max_mm": 20_000, "shim_play_max_mm": 5_000}
MOST_N_M = {"nut_torque_n_m": 2_000.0}
LIMITS = ("bore_max_mm", "shaft_min_mm", "runout_max_mm", "nut_torque_n_m", "shim_play_max_mm")
LEAST_N_M = 0.1
