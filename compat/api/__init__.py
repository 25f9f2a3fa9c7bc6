"""The fit questions and plans over the API."""
