"""Does it fit, and can it be built from the shelf: the fit questions, the plans and what holds them."""
