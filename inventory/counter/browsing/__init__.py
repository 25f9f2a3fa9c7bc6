"""Looking at the shelf: the grid, drawers, lots, one search."""
