"""The pages of the counter: signing in, the shelf, taking in. Pages that show a verdict or a drawing are in compat."""
