"""From a request to build stacks to a plan: what to draw from which drawer, what is missing, how far to trust it."""
