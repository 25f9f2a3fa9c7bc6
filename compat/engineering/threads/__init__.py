"""Screw threads: what people write, limits of size, and whether two threads pair."""
