"""Stand-ins scored by what they do to the damper: the whole curve of force against lift of every side they lie in.

Read `response` (the curve of a side, and the score of another stack in its place), `swaps` (what may stand in at one
position, with its predicted curve), `side_swaps` (the same for all positions of a side) and `allocations` (both sides
under the stock there is, best first).
"""
