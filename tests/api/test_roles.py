"""Who may do what: every route with every role, without a key and with a revoked one."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from inventory.api import throttling
from inventory.holds.requests import Wanted
from inventory.people.roles import Role
from inventory.stock.models import Reading
from tests import factories, laid, people
from tests.api.conftest import (
    STACKS,
    Caller,
    Json,
    caller,
    damper_document,
    job,
    lay_in,
    line,
    measured,
    ok,
    problem,
    revoked,
    saved_damper,
)
from tests.api.routes import Route, plain, routes, views
from tests.compat.questions.rooms import EVERYONE, STAFF, tried
from tests.conftest import HeldClock

REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference"
TABLE, QUESTIONS = REFERENCE / "api.md", REFERENCE / "questions"
ROW = re.compile(r"^\| ([A-Z]+) \| (/\S*) \| (\w+) \| (\w+) \| (\w+) \| (\w+) \|$", re.MULTILINE)
# No test without a route here, and no route without a role in the table below.
ROUTES = routes()
DESK, BENCH = "clerk lead", "tuner lead"
MAY = {
    **{f"POST /fit/{slug}": one.may for slug, one in tried().items()},
    "GET /schema": EVERYONE,
    "GET /parts": EVERYONE,
    "POST /parts": DESK,
    "GET /parts/{}": EVERYONE,
    "GET /lots": STAFF,
    "POST /lots/{}/readings/{}/withdraw": DESK,
    "GET /drawers": STAFF,
    "GET /movements": STAFF,
    "GET /changes": EVERYONE,
    "GET /commands": EVERYONE,
    "GET /deliveries": STAFF,
    "POST /deliveries": DESK,
    "GET /deliveries/{}": STAFF,
    "GET /deliveries/{}/lines": STAFF,
    "POST /deliveries/{}/lines": DESK,
    "POST /counts": DESK,
    "GET /dampers": EVERYONE,
    "POST /dampers": BENCH,
    "GET /dampers/{}": EVERYONE,
    "PUT /dampers/{}": BENCH,
    "GET /dampers/{}/stacks": STAFF,
    "POST /dampers/{}/stacks": BENCH,
    "GET /dampers/{}/parts": EVERYONE,
    "GET /holds": EVERYONE,
    "POST /holds": EVERYONE,
    "GET /holds/{}": EVERYONE,
    "POST /holds/{}/confirm": EVERYONE,
    "POST /holds/{}/extend": EVERYONE,
    "POST /holds/{}/release": EVERYONE,
    "GET /jobs": STAFF,
    "POST /jobs": BENCH,
    "GET /jobs/{}": STAFF,
    "GET /dampers/{}/calibrations": STAFF,
    "POST /dampers/{}/calibrations": BENCH,
    "POST /dampers/{}/calibrations/{}/withdraw": BENCH,
    "GET /buildable": STAFF,
    "POST /plans": STAFF,
    "GET /plans/{}": STAFF,
    "POST /plans/{}/hold": BENCH,
}
SHIM_SIZES: Json = {"od_mm": 30, "thickness_mm": 0.2, "bore_mm": 12}


def hold() -> str:
    """A web hold of the storefront that calls."""
    return str(factories.held(Wanted(quantity=1, part="A")).hold.pk)


def plan() -> str:
    """A plan that can be held."""
    return str(ok(caller(people.lead()).ask("/plans", {"damper": "HA-46", "stacks": STACKS}))["plan"])


def calibration() -> str:
    """A calibration that counts."""
    return str(ok(caller(people.lead()).post("/dampers/HA-46/calibrations", measured()), 201)["id"])


def delivery() -> str:
    """A delivery without lines."""
    number = f"DL-{factories.shim().number}"
    return str(ok(caller(people.lead()).post("/deliveries", {"number": number}), 201)["id"])


def read_lot() -> Reading:
    """A reading of a lot of its own."""
    return factories.stocked(factories.shim(), 5, readings_um=[150]).lot.readings.get()


Request = tuple[str, Json | None, dict[str, str]]


def asked(slug: str) -> Callable[[str], Request]:
    """The least that a question answers, whoever asks."""
    return lambda role: (f"/fit/{slug}", tried()[slug].bare, {})


# For each route a good request, by the role that sends it: (address, body, headers).
GOOD: dict[str, Callable[[str], Request]] = {
    **{f"POST /fit/{slug}": asked(slug) for slug in tried()},
    "GET /schema": lambda role: ("/schema", None, {}),
    "GET /parts": lambda role: ("/parts", None, {}),
    "POST /parts": lambda role: (
        "/parts",
        {"number": f"N-{role}", "kind": "shim", "name": "n", "sizes": SHIM_SIZES},
        {},
    ),
    "GET /parts/{}": lambda role: ("/parts/A", None, {}),
    "GET /lots": lambda role: ("/lots", None, {}),
    "POST /lots/{}/readings/{}/withdraw": lambda role: (
        f"/lots/{(taken := read_lot()).lot.number}/readings/{taken.pk}/withdraw",
        {"reason": "another bag's"},
        {},
    ),
    "GET /drawers": lambda role: ("/drawers", None, {}),
    "GET /movements": lambda role: ("/movements", None, {}),
    "GET /changes": lambda role: ("/changes", None, {}),
    "GET /commands": lambda role: ("/commands?key=k", None, {}),
    "GET /deliveries": lambda role: ("/deliveries", None, {}),
    "POST /deliveries": lambda role: ("/deliveries", {"number": f"D-{role}"}, {}),
    "GET /deliveries/{}": lambda role: (f"/deliveries/{delivery()}", None, {}),
    "GET /deliveries/{}/lines": lambda role: (f"/deliveries/{delivery()}/lines", None, {}),
    "POST /deliveries/{}/lines": lambda role: (
        f"/deliveries/{delivery()}/lines",
        {"part": "A", "lot": f"L-{role}", "drawer": "A-01", "quantity": 1},
        {},
    ),
    "POST /counts": lambda role: ("/counts", {"lot": "LOT-A", "drawer": "A-01", "counted": 50}, {}),
    "GET /dampers": lambda role: ("/dampers", None, {}),
    "POST /dampers": lambda role: ("/dampers", damper_document(f"X-{role}"), {}),
    "GET /dampers/{}": lambda role: ("/dampers/HA-46", None, {}),
    "PUT /dampers/{}": lambda role: (
        f"/dampers/{saved_damper(damper_document(f'Y-{role}'))}",
        damper_document(f"Y-{role}"),
        {"If_Match": '"1"'},
    ),
    "GET /dampers/{}/stacks": lambda role: ("/dampers/HA-46/stacks", None, {}),
    "POST /dampers/{}/stacks": lambda role: ("/dampers/HA-46/stacks", {"name": role, "stacks": STACKS}, {}),
    "GET /dampers/{}/parts": lambda role: ("/dampers/HA-46/parts", None, {}),
    "GET /holds": lambda role: ("/holds", None, {}),
    "POST /holds": lambda role: ("/holds", {"lines": [{"part": "A", "quantity": 1}]}, {}),
    "GET /holds/{}": lambda role: (f"/holds/{hold()}", None, {}),
    "POST /holds/{}/confirm": lambda role: (f"/holds/{hold()}/confirm", {}, {}),
    "POST /holds/{}/extend": lambda role: (f"/holds/{hold()}/extend", {}, {}),
    "POST /holds/{}/release": lambda role: (f"/holds/{hold()}/release", {}, {}),
    "GET /jobs": lambda role: ("/jobs", None, {}),
    "POST /jobs": lambda role: ("/jobs", {"number": f"J-{role}", "title": "t"}, {}),
    "GET /jobs/{}": lambda role: ("/jobs/J-0", None, {}),
    "GET /dampers/{}/calibrations": lambda role: ("/dampers/HA-46/calibrations", None, {}),
    "POST /dampers/{}/calibrations": lambda role: ("/dampers/HA-46/calibrations", measured(), {}),
    "POST /dampers/{}/calibrations/{}/withdraw": lambda role: (
        f"/dampers/HA-46/calibrations/{calibration()}/withdraw",
        {},
        {},
    ),
    "GET /buildable": lambda role: ("/buildable?damper=HA-46", None, {}),
    "POST /plans": lambda role: ("/plans", {"damper": "HA-46", "stacks": {"compression": [line(36, 0.2)]}}, {}),
    "GET /plans/{}": lambda role: (f"/plans/{plan()}", None, {}),
    "POST /plans/{}/hold": lambda role: (f"/plans/{plan()}/hold", {}, {}),
}


def send(program: Caller, method: str, request: Request) -> tuple[int, bytes]:
    """The status and content that a request gets."""
    path, body, headers = request
    if method == "GET":
        reply = program.get(path, **headers)
    elif method == "PUT":
        reply = program.put(path, body, **headers)
    else:
        reply = program.post(path, body, **headers)
    if reply.status_code in (401, 403):
        problem(reply, reply.status_code, {401: "key_invalid", 403: "role_not_allowed"}[reply.status_code])
    return reply.status_code, reply.content


def lay_world() -> None:
    """One of everything that a request can speak of."""
    factories.stocked(factories.shim(number="A"), 50, lot="LOT-A")
    saved_damper()
    job("J-0")
    lay_in(*STACKS["compression"], *STACKS["rebound"], pieces=40)


@pytest.fixture
@laid.before(lay_world)
def world(db: None) -> None:
    """One of everything that a request can speak of."""
    laid.once(lay_world)


def test_every_route_has_a_row_here_and_every_row_a_route() -> None:
    assert {str(route) for route in ROUTES} == set(MAY) == set(GOOD)


@pytest.mark.parametrize("route", ROUTES, ids=str)
@pytest.mark.parametrize("role", list(Role))
def test_a_role_may_do_what_the_table_allows_and_nothing_else(world: None, route: Route, role: Role) -> None:
    program = caller(people.storefront()) if role == Role.STOREFRONT else caller(people.program(f"a {role}", role))
    status, content = send(program, route.method, GOOD[str(route)](role))
    if role in MAY[str(route)].split():
        assert status in (200, 201), content
    else:
        assert status == 403, content


@pytest.mark.parametrize("route", ROUTES, ids=str)
def test_without_a_good_key_nothing_answers(world: None, route: Route) -> None:
    path, body, headers = GOOD[str(route)]("lead")
    content = "" if body is None else "{}"
    bare = Caller().send(route.method, path, content, "application/json", Idempotency_Key="1", **headers)
    problem(bare, 401, "key_missing")
    assert bare["WWW-Authenticate"] == "Bearer"
    assert send(revoked(), route.method, (path, body, headers))[0] == 401
    for given in ("Bearer", "Bearer ", "Bearer nonsense", "Basic bGVhZDpsZWFk", "Token x", "nonsense", "Bearer a b"):
        wrong = Caller().send(route.method, path, content, "application/json", Authorization=given)
        problem(wrong, 401, "key_invalid")


def test_the_table_in_the_docs_says_the_same() -> None:
    rows = ROW.findall(TABLE.read_text(encoding="utf-8"))
    assert rows, f"{TABLE} has no rows | METHOD | path | clerk | tuner | lead | storefront |"
    order = ("clerk", "tuner", "lead", "storefront")
    written = {}
    for method, path, *words in rows:
        assert set(words) <= {"yes", "no"}
        written[f"{method} {plain(path)}"] = {role for role, word in zip(order, words, strict=True) if word == "yes"}
    assert len(written) == len(rows), "a route stands in the table twice"
    for slug in tried():
        said = re.search(rf"^`POST /fit/{slug}`, for: (.*)\.$", (QUESTIONS / f"{slug}.md").read_text(), re.MULTILINE)
        assert said, slug
        written[f"POST /fit/{slug}"] = set(said[1].split(", "))
    assert written == {route: set(roles.split()) for route, roles in MAY.items()}


def test_a_view_that_names_no_role_for_a_method_denies_it_to_everybody(
    world: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(views()["/parts"], "allowed", {})
    problem(caller(people.lead()).get("/parts"), 403, "role_not_allowed")


def test_a_signed_in_person_is_nobody_to_the_api(world: None) -> None:
    """Pages use sessions; a session that worked here could be ridden from another site."""
    program = Caller()
    person = people.lead().person
    assert person is not None
    program.client.force_login(person)
    problem(program.get("/parts"), 401, "key_missing")


def test_head_is_answered_where_get_is(world: None) -> None:
    reply = caller(people.lead()).send("HEAD", "/parts")
    assert (reply.status_code, reply.content) == (200, b"")


def test_a_key_is_kept_only_as_a_digest_and_works_after_others_are_made(world: None) -> None:
    from inventory.people.models import ApiKey

    first, second = people.key_of(people.storefront()), people.key_of(people.storefront())
    for key in (first, second):
        ok(Caller(key).get("/parts"))
    kept = " ".join(" ".join(map(str, row)) for row in ApiKey.objects.values_list("digest", "hint"))
    assert first not in kept and second not in kept


# --- wrong keys


def test_wrong_keys_of_one_address_are_braked_and_a_right_one_never(
    world: None, storefront: Caller, clock: HeldClock
) -> None:
    wrong = Caller("no-key-at-all")
    for _ in range(throttling.WRONG_KEYS_PER_MINUTE):
        problem(wrong.get("/parts"), 401, "key_invalid")
    braked = wrong.get("/parts")
    assert problem(braked, 429, "too_many_requests")["data"] == {"seconds": 60}
    assert braked["Retry-After"] == "60"
    ok(storefront.get("/parts"))
    problem(wrong.get("/parts"), 429, "too_many_requests")
    clock.advance(minutes=1)
    problem(wrong.get("/parts"), 401, "key_invalid")


def test_wrong_keys_of_one_address_do_not_brake_another(world: None, clock: HeldClock) -> None:
    wrong = Caller("no-key-at-all")
    for _ in range(throttling.WRONG_KEYS_PER_MINUTE + 1):
        wrong.get("/parts")
    elsewhere = wrong.client.get("/api/v1/parts", headers={"Authorization": "Bearer x"}, REMOTE_ADDR="192.0.2.7")
    problem(elsewhere, 401, "key_invalid")
