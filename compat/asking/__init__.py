"""What every question has in common: a request that is declared once, and what follows from the declaration.

Nothing here knows a question by name.
"""
