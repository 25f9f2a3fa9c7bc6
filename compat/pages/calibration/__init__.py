"""Calibrating a piston by a measured curve of force against lift."""
