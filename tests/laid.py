"""What many tests begin with is laid in once for those that follow one another, instead of for each of them.

    @pytest.fixture
    @laid.before(lay_damper)
    def damper(db: None) -> str:
        return laid.once(lay_damper)

A transaction around those tests lays it in; each test then works in a savepoint of its own and is rolled back to what
was laid in, as it would otherwise be to an empty database. A test that holds the clock, or that commits, has it laid in
for itself.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

import pytest
from django.db import connection, transaction

T = TypeVar("T")
Lay = Callable[[], Any]
# Whoever asks for one of these wants the shelf made under the clock of the test, or commits.
ALONE = {"clock", "transactional_db", "live_server", "django_db_reset_sequences"}


class _Here:
    """What is laid in now, in the transaction that is open for it."""

    def __init__(self) -> None:
        self.gave: dict[Lay, Any] = {}
        self.around = contextlib.ExitStack()
        self.raw: Any = None


_here = _Here()


def before(*lays: Lay) -> Callable[[T], T]:
    """Marks a fixture whose tests begin with what these lay in, in this order."""

    def marked(fixture: T) -> T:
        setattr(fixture, "lays", lays)  # noqa: B010  # a function of the test's own
        return fixture

    return marked


def once(lay: Callable[[], T]) -> T:
    """What it gave when it was laid in, or else gives now."""
    given: T = _here.gave[lay] if lay in _here.gave else lay()
    return given


def wanted(item: Any) -> tuple[Lay, ...]:
    """What a test begins with and may share; empty where it shares nothing."""
    names = getattr(item, "fixturenames", ())
    mark = item.get_closest_marker("django_db")
    if ALONE.intersection(names) or (mark is not None and (mark.args or mark.kwargs)):
        return ()
    known = item._fixtureinfo.name2fixturedefs
    chains: list[tuple[Lay, ...]] = [()]
    for name in names:
        *others, nearest = [getattr(one.func, "lays", ()) for one in known.get(name, ())] or [()]
        if any(others) and not nearest:
            # The test's own file lays in something else under this name, which what builds on it begins with.
            return ()
        chains.append(nearest)
    return max(chains, key=len)


def make_ready(item: Any) -> None:
    """Lays in what the test begins with, unless it lies there; takes away anything else."""
    lays = wanted(item)
    if tuple(_here.gave) == lays and (not lays or connection.connection is _here.raw):
        return
    take_away()
    if not lays:
        return
    _here.around.enter_context(_rolled_back())
    try:
        for lay in lays:
            _here.gave[lay] = lay()
    except BaseException:
        take_away()
        raise
    _here.raw = connection.connection


def take_away() -> None:
    """Nothing is laid in any more."""
    _here.gave.clear()
    _here.raw = None
    _here.around.close()


@contextlib.contextmanager
def _rolled_back() -> Iterator[None]:
    around = transaction.atomic()
    # As those of Django's test cases: what must be the outermost transaction may begin inside.
    setattr(around, "_from_testcase", True)  # noqa: B010  # Django's private attribute
    with around:
        yield
        transaction.set_rollback(True)


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef: pytest.FixtureDef[Any], request: pytest.FixtureRequest) -> Iterator[None]:
    # Of pytest-django: it opens the transaction of a test, inside this one.
    if fixturedef.argname == "_django_db_helper":
        with request.getfixturevalue("django_db_blocker").unblock():
            make_ready(request.node)
    return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
    done = yield
    if _here.gave and (nextitem is None or wanted(nextitem) != tuple(_here.gave)):
        from pytest_django.plugin import blocking_manager_key

        with item.config.stash[blocking_manager_key].unblock():
            take_away()
    return done
