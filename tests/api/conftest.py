"""Programs that call the API, the damper that most tests ask about, and what every refusal is held against."""

from __future__ import annotations

import itertools
import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client

from inventory.common.transactions import use_case
from inventory.dampers.document import DamperDocument
from inventory.dampers.services import create_damper
from inventory.documents.typed import read
from inventory.jobs.services import open_job
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock.models import Movement
from tests import factories, laid, people

ROOT = "/api/v1"
_keys = itertools.count(1)
Json = dict[str, Any]


class Caller:
    """A program that calls the API with one key, or without any."""

    def __init__(self, key: str = "") -> None:
        self.key = key
        self.client = Client(raise_request_exception=False)

    def send(self, method: str, path: str, content: str | bytes = "", media: str = "", **headers: str) -> Any:
        """One request as it stands; a header's name is written with underscores."""
        given = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.key:
            given.setdefault("Authorization", f"Bearer {self.key}")
        return self.client.generic(method, ROOT + path, content, content_type=media, headers=given)

    def get(self, path: str, **headers: str) -> Any:
        return self.send("GET", path, **headers)

    def ask(self, path: str, body: Any, **headers: str) -> Any:
        """A POST that writes nothing, so without Idempotency-Key."""
        return self.send("POST", path, json.dumps(body), "application/json", **headers)

    def post(self, path: str, body: Any, *, once: str = "", **headers: str) -> Any:
        """A command, with a new Idempotency-Key unless one is given."""
        return self.ask(path, body, Idempotency_Key=once or f"key-{next(_keys)}", **headers)

    def put(self, path: str, body: Any, *, once: str = "", **headers: str) -> Any:
        key = once or f"key-{next(_keys)}"
        return self.send("PUT", path, json.dumps(body), "application/json", Idempotency_Key=key, **headers)

    def walk(self, path: str, between: Callable[[], Any] = lambda: None) -> Iterator[Json]:
        """Every row of a list, page by page; `between` is called after each page."""
        join, cursor = "&" if "?" in path else "?", None
        for _ in range(1000):
            page = ok(self.get(path if cursor is None else f"{path}{join}cursor={cursor}"))
            yield from page["results"]
            between()
            cursor = page["next"]
            if cursor is None:
                return
        raise AssertionError(f"{path} never ends")


def fed(caller: Caller) -> list[Any]:
    """The feed's changes once it tells of every movement: on PostgreSQL it waits until nothing that began earlier is
    still open, and other tests beside this one have transactions of their own on the same server."""
    for _ in range(1200):
        found = ok(caller.get("/changes?page_size=200"))["results"]
        if len(found) == Movement.objects.count():
            return list(found)
        time.sleep(0.05)
    raise AssertionError("the feed does not tell of every movement")


def ok(reply: Any, status: int = 200) -> Any:
    """The body of a reply that must have this status."""
    assert reply.status_code == status, f"{reply.status_code} instead of {status}: {reply.content[:2000]!r}"
    assert reply["Content-Type"] == "application/json"
    return reply.json()


def problem(reply: Any, status: int, code: str) -> Json:
    """The body of a refusal, which must be a whole RFC 9457 document with this status and code."""
    assert reply.status_code == status, f"{reply.status_code} instead of {status}: {reply.content[:2000]!r}"
    assert reply["Content-Type"] == "application/problem+json"
    body: Json = reply.json()
    assert {"type", "title", "status", "detail", "code", "errors"} <= set(body)
    assert (body["status"], body["code"], body["type"]) == (status, code, f"urn:shimshelf:error:{code}")
    assert body["title"] and body["detail"] and "{" not in body["title"]
    assert all(set(error) == {"field", "code", "message"} and error["message"] for error in body["errors"])
    return body


def fields(body: Json) -> set[str]:
    """The fields that a refusal names."""
    return {error["field"] for error in body["errors"]}


@contextmanager
def statements() -> Iterator[list[str]]:
    """The SQL statements that the database is sent meanwhile; transaction marks are not among them."""
    sent: list[str] = []

    def note(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if not sql.startswith("BEGIN"):
            sent.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield sent


def caller(actor: Actor) -> Caller:
    """A program with a new key of this actor."""
    return Caller(people.key_of(actor))


@pytest.fixture(autouse=True)
def nothing_counted_yet() -> None:
    """What was asked in another test's minute brakes nobody here."""
    cache.clear()


@pytest.fixture
def clerk(db: None) -> Caller:
    return caller(people.clerk())


@pytest.fixture
def tuner(db: None) -> Caller:
    return caller(people.tuner())


@pytest.fixture
def lead(db: None) -> Caller:
    return caller(people.lead())


@pytest.fixture
def storefront(db: None) -> Caller:
    return caller(people.storefront())


@pytest.fixture
def outsider(db: None) -> Caller:
    return caller(people.outsider())


@pytest.fixture
def nobody(db: None) -> Caller:
    """A program without a key."""
    return Caller()


def revoked() -> Caller:
    """A program whose key was revoked."""
    from inventory.people.keys import revoke

    gone = people.program("gone", Role.LEAD)
    key = people.key_of(gone)
    assert gone.client is not None
    revoke(client=gone.client)
    return Caller(key)


def job(number: str = "J-1") -> str:
    """A job on the bench; gives its number."""
    return use_case(lambda: open_job(number=number, title=f"damper of {number}")).number


def line(od_mm: float, thickness_mm: float, quantity: int = 1, **more: Any) -> Json:
    """A line of a stack."""
    return {"od_mm": od_mm, "thickness_mm": thickness_mm, "quantity": quantity, **more}


def _side(face: float) -> Json:
    """A side whose ports a face shim of this diameter just covers."""
    return {
        "ports_inner_mm": 22.0,
        "ports_outer_mm": face - 1.8,
        "land_outer_mm": face + 0.8,
        "hub_mm": 20.0,
        "other_side_feed_inner_mm": face + 1.6,
    }


def damper_document(code: str = "HA-46", **shaft_end: Any) -> Json:
    """A damper whose every size is known exactly: 17.5 mm are fixed, and the plate wants 20 mm below it.

    Shims of 2.5 mm need no spacer; the plate may stand 0.2 mm higher or lower.
    """
    return {
        "code": code,
        "name": "Halvik 46 rear",
        "valves": [
            {
                "code": "main",
                "piston_height_mm": 12.0,
                "shaft_mm": {"min": 11.97, "max": 12.0, "nominal": 12.0},
                "body_bore_mm": 46.0,
                "overlap_mm": 0.5,
                "base_plates": {
                    "compression": {"height_mm": 4.0, "contact_diameter_mm": 28.0},
                    "rebound": {"height_mm": 4.0, "contact_diameter_mm": 28.0},
                },
                "washers": [{"name": "Shoulder washer", "height_mm": 1.5, "place": "shoulder"}],
                "sides": {"compression": _side(36), "rebound": _side(34)},
            }
        ],
        "shaft_end": {
            "diameter_mm": 12.0,
            "hole_mm": 5.0,
            "thread": "M12x1.25",
            "tolerance_class": "6g",
            "hand": "right",
            "shoulder_to_lip_mm": 22.0,
            "on_straight_mm": 1.8,
            "past_lip_mm": 1.8,
            "full_thread_start_mm": 24.0,
            "shaft_end_mm": 42.0,
            "property_class": "8.8",
            "thread_relief": True,
            "relief_diameter_mm": 10.0,
            **shaft_end,
        },
    }


def limit(name: str, value: float, **more: Any) -> Json:
    """A limit from an invented sheet."""
    return {"limit": name, "value": value, "source": "Halvik sheet 9", "on": "2026-05-01", **more}


def sealing() -> Json:
    """Everything that a damper of damper_document() may tell of seals, wear and oil."""
    return {
        "band": {"groove_mm": 38.6, "band_thickness_mm": 0.95, "energiser": {"size": "222"}},
        "shaft": {"diameter_mm": {"min": 11.97, "max": 12.0, "nominal": 12.0}},
        "rod_gland": {"groove_mm": 16.1, "width_mm": 3.2, "ring": {"id_mm": 11.6, "section_mm": 2.4}},
        "oil": {"fluid": "mineral_oil", "hottest_c": 92.5},
        "limits": [
            limit("bore_max_mm", 46.105),
            limit("shaft_min_mm", 11.95),
            limit("runout_max_mm", 0.04),
            limit("nut_torque_n_m", 33.8955),
            limit("shim_play_max_mm", 0.12),
        ],
    }


def stored(document: Json) -> DamperDocument:
    """A damper's document as it is read from the database, from its JSON with or without code and name."""
    return read(DamperDocument, {name: value for name, value in document.items() if name not in ("code", "name")})


def saved_damper(document: Json | None = None) -> str:
    """A damper model on file; gives its code."""
    sent = document or damper_document()
    code, name = str(sent["code"]), str(sent["name"])
    use_case(lambda: create_damper(code=code, name=name, document=stored(sent), actor=people.tuner()))
    return code


# 2.4 mm of shims, each side with a face group, a crossover, a taper and a clamp shim.
COMPRESSION = [line(36, 0.2, 2), line(22, 0.1), line(32, 0.15, 2), line(28, 0.2), line(20, 0.3)]
REBOUND = [line(34, 0.2, 2), line(22, 0.1), line(30, 0.15, 1), line(26, 0.15), line(20, 0.3)]
STACKS: Json = {"compression": COMPRESSION, "rebound": REBOUND}


def measured() -> Json:
    """A curve of the rebound side of `damper_document()`: no gap closes there yet, so force goes with the lift."""
    points = [{"lift_mm": lift, "force_n": 678 * lift} for lift in (0.03, 0.06, 0.09)]
    return {"side": "rebound", "stack": REBOUND, "points": points}


def lay_in(*lines: Json, pieces: int = 10, bore_mm: float = 12, measured: bool = True, **more: Any) -> None:
    """A measured lot of each line's size, each in a drawer of its own."""
    for one in lines:
        um = round(one["thickness_mm"] * 1000)
        shim = factories.shim(one["od_mm"], one["thickness_mm"], bore_mm)
        drawer = f"D-{one['od_mm']:g}-{um}"
        readings = [um, um, um] if measured else []
        factories.stocked(shim, pieces, drawer=drawer, readings_um=readings, **more)


def lay_damper() -> str:
    """The damper of damper_document(), on file, and five of the nut that goes on it; gives the damper's code."""
    factories.stocked(factories.nut(number="OWN-NUT", locking="compound"), 5, lot="L-OWN-NUT", drawer="N-00")
    return saved_damper()


def lay_shelf() -> None:
    """Ten measured shims of every size of STACKS."""
    sizes = {(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND]}
    lay_in(*sizes.values())


@pytest.fixture
@laid.before(lay_damper)
def damper(db: None) -> str:
    """The damper of damper_document(), on file, and five of the nut that goes on it."""
    return laid.once(lay_damper)


@pytest.fixture
@laid.before(lay_damper, lay_shelf)
def shelf(damper: str) -> str:
    """The damper, and ten measured shims of every size of STACKS; gives the damper's code."""
    laid.once(lay_shelf)
    return damper
