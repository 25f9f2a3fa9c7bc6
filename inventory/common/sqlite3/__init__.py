"""Django's SQLite engine, with a file that is its user's alone."""
