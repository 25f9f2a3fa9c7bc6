"""What is asked, checked: one set of rules for the API and for the pages."""
