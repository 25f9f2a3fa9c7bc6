"""How a stack of shims bends: from thin plates in contact to its curve of force against lift, and how far to trust it.

Read `plates` (one plate, closed forms), `stack` (what is bent), `contact` (the plates on each other as one system),
`active_set` (who presses on whom at one pressure), `path` (the same for all pressures up to a lift), `shape`
(deflection and stress read off a path), `band` (how far to trust it) and `residuals` (how true it is to its own
equations). `mounting` takes what holds a stack from its valve, `calibration` from a measured curve. Millimetres,
newtons and megapascals throughout; deflection counts away from the piston.
"""
