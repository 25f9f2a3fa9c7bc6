"""How a stack of shims bends: from thin plates in contact to its curve of force against lift, and how far to trust it.

Read `plates` (one plate, closed forms), `stack` (what is bent), `contact` (the plates on each other as one system),
`active_set` (who presses on whom at one pressure), `path` (the same for all pressures up to a lift) and `curve` (what
is read off the path). Millimetres, newtons and megapascals throughout; deflection counts away from the piston.
"""
