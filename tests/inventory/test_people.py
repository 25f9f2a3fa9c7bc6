"""Keys and roles: a key is shown once and kept hashed, and a role never widens behind anybody's back."""

from __future__ import annotations

import hashlib
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.people import keys
from inventory.people.actors import Actor, acting_person
from inventory.people.models import ApiKey, Client, Person
from inventory.people.roles import Role
from tests import people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


def everything_stored() -> str:
    """Every text of every row of the three tables of people, as the database has it."""
    texts = []
    with connection.cursor() as cursor:
        for table in (ApiKey, Client, Person):
            cursor.execute(f"SELECT * FROM {table._meta.db_table}")
            texts += [str(row) for row in cursor.fetchall()]
    return "\n".join(texts)


def test_a_key_opens_the_door_for_its_client() -> None:
    actor = keys.holder(people.key_of(people.storefront()))
    assert (actor.client, actor.person, actor.role) == (people.storefront().client, None, Role.STOREFRONT)
    assert keys.holder(people.key_of(people.outsider())).client == people.outsider().client


def test_of_a_key_only_its_hash_and_its_last_characters_are_kept() -> None:
    key = people.key_of(people.storefront())
    kept = ApiKey.objects.get()
    assert len(key) >= 43
    assert (kept.digest, kept.hint) == (hashlib.sha256(key.encode()).hexdigest(), key[-6:])
    assert key not in everything_stored()
    assert key[:-6] not in everything_stored()


def test_no_two_keys_are_alike() -> None:
    actor = people.storefront()
    assert len({people.key_of(actor) for _ in range(20)}) == 20


@pytest.mark.parametrize("change", ["", "x", " ", "upper"])
def test_another_text_is_no_key(change: str) -> None:
    key = people.key_of(people.storefront())
    wrong = {"": "", "upper": key.swapcase()}.get(change, key + change)
    with pytest.raises(DomainError) as raised:
        keys.holder(wrong)
    assert (raised.value.code, raised.value.status) == ("key_invalid", 401)


def test_the_hash_itself_is_no_key() -> None:
    people.key_of(people.storefront())
    with pytest.raises(DomainError):
        keys.holder(ApiKey.objects.get().digest)


def test_a_revoked_key_is_refused_and_others_stay(clock: HeldClock) -> None:
    first, second = people.key_of(people.storefront()), people.key_of(people.storefront())
    other = people.key_of(people.outsider())
    client = people.storefront().client
    assert client is not None
    assert keys.revoke(client=client) == 2
    assert keys.revoke(client=client) == 0
    for key in (first, second):
        with pytest.raises(DomainError, match="key_invalid"):
            keys.holder(key)
    assert keys.holder(other).client == people.outsider().client
    assert set(ApiKey.objects.filter(client=client).values_list("revoked_at", flat=True)) == {clock.time}
    # A new one may be made afterwards.
    assert keys.holder(people.key_of(people.storefront())).client == client


def test_a_client_keeps_its_role() -> None:
    key = people.key_of(people.storefront())
    with pytest.raises(DomainError) as raised:
        use_case(lambda: keys.issue(name="web shop", role=Role.LEAD))
    assert raised.value.code == "conflict"
    assert ApiKey.objects.count() == 1
    assert keys.holder(key).role == Role.STOREFRONT


def test_restoring_a_key_does_not_bring_back_a_revoked_one() -> None:
    key = people.key_of(people.storefront())
    client = people.storefront().client
    assert client is not None
    keys.revoke(client=client)
    use_case(lambda: keys.restore(name="web shop", role=Role.STOREFRONT, key=key))
    with pytest.raises(DomainError, match="key_invalid"):
        keys.holder(key)


def test_restoring_a_known_key_changes_nothing() -> None:
    key = people.key_of(people.storefront())
    use_case(lambda: keys.restore(name="web shop", role=Role.STOREFRONT, key=key))
    assert ApiKey.objects.count() == 1
    assert keys.holder(key).client == people.storefront().client


@pytest.mark.parametrize("role", ["owner", "", "LEAD"])
def test_the_database_knows_four_roles(role: str, clock: HeldClock) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Client.objects.create(name="odd", role=role, created_at=clock.time)
    with pytest.raises(IntegrityError), transaction.atomic():
        Person.objects.create(username="odd", role=role)


def test_a_person_is_no_storefront() -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Person.objects.create(username="odd", role=Role.STOREFRONT)


@pytest.mark.parametrize(
    ("person", "client"), [(True, True), (False, False)], ids=["both a person and a client", "nobody"]
)
def test_an_actor_is_exactly_one_of_both(person: bool, client: bool) -> None:
    with pytest.raises(ValueError, match="either"):
        Actor(
            role=Role.CLERK,
            person=people.clerk().person if person else None,
            client=people.storefront().client if client else None,
        )


def test_an_actor_has_the_role_and_name_of_who_acts() -> None:
    assert (people.tuner().role, people.tuner().name) == (Role.TUNER, "Ossian Tarn")
    assert (people.outsider().role, people.outsider().name) == (Role.STOREFRONT, "other shop")
    assert acting_person(Person(username="plain", role=Role.LEAD)).name == "plain"


# --- the commands


def test_the_command_prints_the_key_alone_on_its_last_line() -> None:
    out = StringIO()
    call_command("api_key", "till", role="storefront", stdout=out, stderr=StringIO())
    key = out.getvalue().splitlines()[-1]
    assert keys.holder(key).name == "till"
    with pytest.raises(CommandError, match="another role"):
        call_command("api_key", "till", role="lead", stdout=out, stderr=StringIO())
    with pytest.raises(CommandError, match="--role"):
        call_command("api_key", "till", stdout=out, stderr=StringIO())
    call_command("api_key", "till", revoke=True, stdout=out)
    assert "1 keys of till are revoked" in out.getvalue()
    with pytest.raises(DomainError):
        keys.holder(key)
    with pytest.raises(CommandError, match="no client"):
        call_command("api_key", "nobody", revoke=True, stdout=out)


def test_the_command_makes_a_person_once() -> None:
    out = StringIO()
    call_command("person", "runa", role="clerk", no_password=True, stdout=out)
    person = Person.objects.get()
    assert (person.role, person.has_usable_password(), person.is_superuser) == (Role.CLERK, False, False)
    with pytest.raises(CommandError, match="already"):
        call_command("person", "runa", role="lead", no_password=True, stdout=out)
    assert Person.objects.get().role == Role.CLERK
