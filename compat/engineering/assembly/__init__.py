"""What sits where on a shaft, from the shoulder to the nut: one model for every question that needs such a figure."""
