"""The four roles."""

from __future__ import annotations

from django.db import models


class Role(models.TextChoices):
    """What somebody may do; the lead may do what clerk and tuner may, and more."""

    CLERK = "clerk"
    TUNER = "tuner"
    LEAD = "lead"
    STOREFRONT = "storefront"


STAFF = (Role.CLERK, Role.TUNER, Role.LEAD)
EVERYONE = (*STAFF, Role.STOREFRONT)
# Who writes what comes in and lies there; who writes what is built.
DESK = (Role.CLERK, Role.LEAD)
BENCH = (Role.TUNER, Role.LEAD)
