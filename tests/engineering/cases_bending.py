"""Stacks for the bending tests: invented, of the sizes that dampers have."""

from __future__ import annotations

import random

from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.stack import Groups, Layer, Mount

CLAMP = Layer(20.0, 0.3)
THICKNESS_MM = (0.10, 0.15, 0.20, 0.25, 0.30)


def bent(layers: list[Layer], mount: Mount, lift_mm: float, *, fill: int | None = None) -> Path:
    """The path of a stack to a lift."""
    groups = Groups.of(layers)
    contacts = contacts_of(groups, mount) if fill is None else contacts_of(groups, mount, fill=fill)
    return follow(contacts, lift_mm)


def random_stack(random_: random.Random, most: int = 25) -> tuple[list[Layer], Mount]:
    """8 to `most` shims with a clamp shim; more than half of them in two stages, diameters in steps of one or two."""
    face, clamp = random_.choice((36.0, 38.0, 40.0, 44.0)), random_.choice((18.0, 20.0, 22.0))
    pieces, layers = random_.randint(8, most) - 1, list[Layer]()
    step = random_.choice((1, 2))
    if two_stage := random_.random() < 0.6:
        first = random_.randint(1, max(1, pieces // 3))
        layers.append(Layer(face, random_.choice(THICKNESS_MM), first))
        layers.append(Layer(clamp + random_.choice((2.0, 4.0, 6.0)), random_.choice((0.10, 0.15, 0.20))))
        pieces -= first + 1
    largest = face - 2 if two_stage else face
    diameters = sorted((random_.randrange(int(clamp), int(largest) + 1, step) for _ in range(pieces)), reverse=True)
    if not two_stage:
        diameters[0] = int(face)
    layers += [Layer(float(od), random_.choice(THICKNESS_MM)) for od in diameters]
    hub, base = random_.choice((9.0, 9.5, 10.0)), clamp / 2 + random_.choice((0.0, 1.0))
    return [*layers, Layer(clamp, 0.3)], Mount(hub, base, hub + 2, face / 2 - 1.5)
