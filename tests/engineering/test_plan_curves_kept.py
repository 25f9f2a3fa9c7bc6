"""What searches remember of curves takes no more memory than is said, however many stacks are asked for."""

from __future__ import annotations

import gc
import random
import tracemalloc
from collections.abc import Iterator

import pytest

from compat.engineering.bending.stack import Groups, Layer, Mount
from compat.engineering.plans.bent import remembered
from compat.engineering.plans.bent.remembered import CURVE_BYTES, CURVES_KEPT, MOST_BYTES, SIDE_BYTES, SIDES_KEPT

MOUNT = Mount(9.0, 12.0, 11.0, 18.5)
LARGEST = tuple(Layer(od, 0.15, 2) for od in range(40, 18, -1))  # twice the diameters of a damper's usual side
USUAL = (Layer(40, 0.2, 2), Layer(38, 0.15, 3), Layer(34, 0.15, 2), Layer(26, 0.2), Layer(22, 0.3))


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    remembered.forget()
    yield
    remembered.forget()


def taken(before: tracemalloc.Snapshot) -> int:
    gc.collect()
    return sum(one.size_diff for one in tracemalloc.take_snapshot().compare_to(before, "filename"))


@pytest.fixture
def traced() -> Iterator[tracemalloc.Snapshot]:
    remembered.asked_of(USUAL, MOUNT)  # what is made once stands already
    remembered.forget()
    gc.collect()
    tracemalloc.start()
    yield tracemalloc.take_snapshot()
    tracemalloc.stop()


def test_a_curve_takes_no_more_than_is_said(traced: tracemalloc.Snapshot, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = remembered.asked_of(USUAL, MOUNT)
    own = taken(traced)
    assert own <= SIDE_BYTES
    path = asked.path
    monkeypatch.setattr(remembered, "contacts_of", lambda *told: path.contacts)
    monkeypatch.setattr(remembered, "follow", lambda *told, **words: path)
    draw = random.Random(1)
    for _ in range(CURVES_KEPT):
        layers = [Layer(one.od_mm, draw.uniform(0.1, 0.3), one.count) for one in LARGEST]
        asked.curve(layers, Groups.of(USUAL))
    assert len(asked.solved) == CURVES_KEPT
    a_curve = (taken(traced) - own) / CURVES_KEPT
    print(f"{own} bytes a stack, {a_curve:.0f} a curve, {SIDES_KEPT * CURVES_KEPT} curves in {MOST_BYTES} bytes")
    assert a_curve <= CURVE_BYTES
    asked.curve(USUAL, Groups.of(USUAL))
    assert len(asked.solved) == 1, "no more are kept"


def test_only_so_many_stacks_are_kept_the_last_ones(traced: tracemalloc.Snapshot) -> None:
    stacks = [(Layer(40, 0.2, 2), Layer(36, 0.1 + number / 1000), Layer(22, 0.3)) for number in range(SIDES_KEPT + 4)]
    first = remembered.asked_of(stacks[0], MOUNT)
    for number, stack in enumerate(stacks):
        if number % 8 == 0:
            assert remembered.asked_of(stacks[0], MOUNT) is first, "asked for again and again"
        remembered.asked_of(stack, MOUNT)
    assert len(remembered._kept) == SIDES_KEPT
    assert (stacks[0], MOUNT) in remembered._kept and (stacks[1], MOUNT) not in remembered._kept
    assert taken(traced) <= SIDES_KEPT * SIDE_BYTES <= MOST_BYTES


def test_a_stack_whose_path_is_too_large_is_solved_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    assert remembered.asked_of(LARGEST, MOUNT).nbytes <= SIDE_BYTES, "no damper's stack is"
    remembered.forget()
    monkeypatch.setattr(remembered, "SIDE_BYTES", 10)
    assert remembered.asked_of(USUAL, MOUNT) is not remembered.asked_of(USUAL, MOUNT)
    assert not remembered._kept
