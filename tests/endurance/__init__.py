"""Long runs that show whether the shelf stays true: what the suite forces once, these do for hours."""
