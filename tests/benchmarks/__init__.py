"""Measurements: each module has run(seed) and gives figures beside the figure to reach."""
