"""The shelf as the questions and plans ask it: shims, nuts, and what may replace a worn part."""
