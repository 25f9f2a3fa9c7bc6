"""Django's SQLite, whose tables keep their guards when a migration makes them anew."""
