"""Parts, people, stock, holds and jobs of a damper workshop."""
