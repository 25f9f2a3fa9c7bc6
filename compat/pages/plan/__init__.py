"""Plans and holds by their addresses."""
