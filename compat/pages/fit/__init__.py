"""The fit desk: the fit questions as forms."""
