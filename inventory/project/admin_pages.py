"""Django's admin app with this project's site, which has no sign-in of its own."""

from __future__ import annotations

from django.contrib.admin.apps import AdminConfig


class AdminPages(AdminConfig):
    """The admin app."""

    default_site = "inventory.counter.admin_site.Site"
