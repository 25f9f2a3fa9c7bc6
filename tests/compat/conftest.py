"""The damper and the shelf of the API's tests."""

from tests.api.conftest import damper, shelf

__all__ = ["damper", "shelf"]
