"""The opening shelf: a whole workshop's stock from one CSV file, all rows or none."""
