"""Which pieces of the shelf build the stacks that are asked for: like for like, stand-ins and the spacer at once.

Read `order` first (what "best" means), then `problem` (what is given), `solve` (the search from above), `allocate`
(which sizes go where) and `draw` (which pieces are taken).
"""
