"""Taking deliveries in, and the opening shelf."""
