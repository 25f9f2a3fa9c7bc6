"""Damper models: looking at them and editing them."""
