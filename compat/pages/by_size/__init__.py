"""Which part is this: the search by size."""
