"""/api/v1: one module a resource. docs/reference/api.md holds the contract."""
