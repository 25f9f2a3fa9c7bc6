"""Which part is this, by what was measured of it: reading the text, and judging parts against it."""
