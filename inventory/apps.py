"""The app: registers text-length lookups, installs the ledger's triggers after migrating, checks at start."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.db.models import CharField, TextField
from django.db.models.functions import Length
from django.db.models.signals import post_migrate


class InventoryConfig(AppConfig):
    name = "inventory"

    def ready(self) -> None:
        from django.contrib.auth.signals import user_logged_in

        from inventory import checks  # noqa: F401  registering is what importing does
        from inventory.common import frozen  # noqa: F401  registers its guards
        from inventory.counter import session
        from inventory.holds import history as _holds  # noqa: F401  registers its guards
        from inventory.receiving import history as _receiving  # noqa: F401  registers its guards
        from inventory.stock import history as _stock  # noqa: F401  registers its guards
        from inventory.stock import triggers  # noqa: F401  registers its guards

        CharField.register_lookup(Length)
        TextField.register_lookup(Length)
        user_logged_in.connect(session.note_opened)
        post_migrate.connect(_install_triggers, sender=self)


def _install_triggers(*, using: str, **_: Any) -> None:
    from inventory.common import guarding

    guarding.install(using)
