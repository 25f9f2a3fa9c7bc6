"""Checked JSON documents: fields that take exactly what is said of them, and what is wrong with what was sent."""
