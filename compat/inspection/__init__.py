"""The inspection sheet: every part of a stripped damper by its own question, and what could replace it."""
