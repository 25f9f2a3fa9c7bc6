"""The engineering core: pure Python and numpy. No Django, no database, no clock, no text for people."""

# Raised whenever the same request on the same shelf may get another answer; every recorded plan carries it.
VERSION = "2"
