"""The demo: an invented workshop, and the main job done on it in the terminal."""
