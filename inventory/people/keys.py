"""API keys: made once, shown once, kept hashed."""

from __future__ import annotations

import hashlib
import secrets

from inventory.common import clock, writing
from inventory.common.errors import DomainError, invalid
from inventory.people.actors import Actor, acting_client
from inventory.people.models import ApiKey, Client
from inventory.people.roles import Role


def issue(*, name: str, role: Role) -> tuple[Client, str]:
    """A new key for the client of that name, which is made if it is new. Returns the client and the key in clear.

    Raises DomainError `conflict` when the client exists with another role: a role change would silently widen old keys.
    """
    key = secrets.token_urlsafe(32)
    return restore(name=name, role=role, key=key), key


def restore(*, name: str, role: Role, key: str) -> Client:
    """Puts a key in force that was made before, for the client of that name, which is made if it is new.

    Does nothing for a key that the client has. Raises DomainError `conflict` like issue(), and for another's key;
    `invalid` for a name with signs that nobody sees.
    """
    now, name = clock.now(), writing.tidy(name)
    if refused := writing.refusal(name):
        raise invalid("name", refused)
    client, _ = Client.objects.get_or_create(name=name, defaults={"role": role, "created_at": now})
    if client.role != role:
        raise DomainError("conflict", what="A client with another role", which=name)
    found, _ = ApiKey.objects.get_or_create(
        digest=digest(key), defaults={"client": client, "hint": key[-6:], "created_at": now}
    )
    if found.client_id != client.pk:
        raise DomainError("conflict", what="A client with this key", which="(another one)")
    return client


def revoke(*, client: Client) -> int:
    """Revokes every key of the client; returns how many were in force."""
    return ApiKey.objects.filter(client=client, revoked_at=None).update(revoked_at=clock.now())


def holder(key: str) -> Actor:
    """The actor whose key this is. Raises DomainError `key_invalid`."""
    found = ApiKey.objects.select_related("client").filter(digest=digest(key), revoked_at=None).first()
    if found is None:
        raise DomainError("key_invalid")
    return acting_client(found.client)


def digest(key: str) -> str:
    """What is stored of a key."""
    return hashlib.sha256(key.encode()).hexdigest()
