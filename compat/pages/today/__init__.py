"""What can be built today, for every saved stack."""
