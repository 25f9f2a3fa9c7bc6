"""The pages that show a verdict, a search or a drawing."""
