"""Stacks of shims by finite elements, sharing nothing with the engine but the question.

Every shim is its own ring of cubic Hermite elements for the axisymmetric Kirchhoff plate, unmerged; contact is a
penalty at every node, found by Newton's method. Source of the element: any text on plates by finite elements, for
instance Zienkiewicz and Taylor, The Finite Element Method, axisymmetric bending (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from compat.engineering.bending.stack import Layer, Mount

PENALTY = 1e2  # times the largest stiffness of a node against deflection
_GAUSS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True)
class Case:
    """shims: (radius, thickness) of every single shim, face first; all radii on the grid that starts at the clamp."""

    shims: Sequence[tuple[float, float]]
    hub: float
    base: float
    ring: tuple[float, float]
    youngs: float = 206_000.0
    poisson: float = 0.3

    @property
    def clamp(self) -> float:
        return min(self.hub, self.base, *(radius for radius, _ in self.shims))


class Elements:
    """The stiffness of all shims and the contacts between them on a grid of width `h`."""

    def __init__(self, case: Case, h: float) -> None:
        self.case, self.h = case, h
        clamp = case.clamp
        self.counts = [round((radius - clamp) / h) for radius, _ in case.shims]  # free nodes of each
        for (radius, _), count in zip(case.shims, self.counts, strict=True):
            assert abs(clamp + count * h - radius) < 1e-9, "a rim lies off the grid"
        self.starts = np.concatenate([[0], np.cumsum(self.counts)]) * 2
        self.size = int(self.starts[-1])
        self.stiffness = self._stiffness()
        self.load = self._load()
        self.gap, self.jump = self._contacts()
        self.penalty = PENALTY * self.stiffness.diagonal()[::2].max() if self.size else 0.0

    def lift_at(self, pressure: float, start: Any = None) -> tuple[float, Any]:
        """(rim lift of the face shim, deflections) at a pressure; `start`: deflections to begin from."""
        moved = np.zeros(self.size) if start is None else start
        load = pressure * self.load
        for _ in range(400):
            shut = self.gap + self.jump @ moved < 0
            pressed = self.jump[shut]
            matrix = self.stiffness + self.penalty * pressed.T @ pressed
            aim = splu(sparse.csc_matrix(matrix)).solve(load - self.penalty * pressed.T @ self.gap[shut])
            small = abs(aim - moved).max() <= 1e-6 * abs(aim).max()  # contacts at no force change sides by rounding
            if small or ((self.gap + self.jump @ aim < 0) == shut).all():
                return float(aim[self.starts[0] + 2 * (self.counts[0] - 1)]), aim
            moved = moved + self._share(moved, aim - moved, load) * (aim - moved)
        raise AssertionError("Newton's method does not settle")

    def _share(self, moved: Any, step: Any, load: Any) -> float:
        """How much of a step brings the convex energy down the most: where its slope along the step is zero."""

        def downhill(share: float) -> float:
            at = moved + share * step
            overlap = np.minimum(self.gap + self.jump @ at, 0.0)
            return float(step @ (load - self.stiffness @ at - self.penalty * self.jump.T @ overlap))

        low, high = 0.0, 1.0
        if downhill(high) >= 0:
            return high
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if downhill(middle) > 0 else (low, middle)
        return (low + high) / 2

    def _stiffness(self) -> Any:
        case, h, rows, columns, values = self.case, self.h, [], [], []
        for shim, ((_, thickness), count) in enumerate(zip(case.shims, self.counts, strict=True)):
            rigidity = case.youngs * thickness**3 / 12 / (1 - case.poisson**2)
            for element in range(count):
                block = 2 * np.pi * rigidity * _element(case.clamp + element * h, h, case.poisson)
                place = self.starts[shim] + 2 * element + np.arange(-2, 2)
                free = np.arange(4) if element else np.arange(2, 4)
                rows.append(np.repeat(place[free], len(free)))
                columns.append(np.tile(place[free], len(free)))
                values.append(block[np.ix_(free, free)].ravel())
        if not rows:
            return sparse.csr_matrix((0, 0))
        entries = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
        return sparse.csr_matrix(entries, shape=(self.size, self.size))

    def _load(self) -> Any:
        load, (inner, outer) = np.zeros(self.size), self.case.ring
        for element in range(self.counts[0]):
            left = self.case.clamp + element * self.h
            low, high = max(left, inner), min(left + self.h, outer)
            if low >= high:
                continue
            points, weights = _GAUSS
            radii = (high - low) / 2 * points + (high + low) / 2
            shape, _, _ = _hermite((radii - left) / self.h, self.h)
            share = 2 * np.pi * (shape * radii * weights).sum(axis=1) * (high - low) / 2
            place = 2 * element + np.arange(-2, 2)
            load[place[place >= 0]] += share[place >= 0]
        return load

    def _contacts(self) -> tuple[Any, Any]:
        """Gaps at rest and the rows that take the change of each from the deflections."""
        case, gaps, entries = self.case, [], []
        for node in range(1, max(self.counts) + 1):
            radius = case.clamp + node * self.h
            here = [shim for shim, count in enumerate(self.counts) if count >= node]
            if radius <= case.hub + 1e-9:
                entries.append([(here[0], node, 1.0)])
                gaps.append(sum(t for _, t in case.shims[: here[0]]))
            for lower, upper in pairwise(here):
                entries.append([(upper, node, 1.0), (lower, node, -1.0)])
                gaps.append(sum(t for _, t in case.shims[lower + 1 : upper]))
            if radius <= case.base + 1e-9:
                entries.append([(here[-1], node, -1.0)])
                gaps.append(sum(t for _, t in case.shims[here[-1] + 1 :]))
        jump = sparse.lil_matrix((len(gaps), self.size))
        for row, parts in enumerate(entries):
            for shim, node, sign in parts:
                jump[row, self.starts[shim] + 2 * (node - 1)] = sign
        return np.array(gaps), sparse.csr_matrix(jump)


def _hermite(x: Any, h: float) -> tuple[Any, Any, Any]:
    """Shape functions (4, points) and their first and second derivatives by the radius; x from 0 to 1."""
    shape = np.stack([1 - 3 * x**2 + 2 * x**3, h * (x - 2 * x**2 + x**3), 3 * x**2 - 2 * x**3, h * (x**3 - x**2)])
    first = np.stack([-6 * x + 6 * x**2, h * (1 - 4 * x + 3 * x**2), 6 * x - 6 * x**2, h * (3 * x**2 - 2 * x)]) / h
    second = np.stack([-6 + 12 * x, h * (-4 + 6 * x), 6 - 12 * x, h * (6 * x - 2)]) / h**2
    return shape, first, second


def _element(left: float, h: float, poisson: float) -> Any:
    points, weights = _GAUSS
    x = (points + 1) / 2
    radii = left + h * x
    _, first, second = _hermite(x, h)
    across = first / radii
    both = np.einsum("ig,jg,g->ij", second, across, radii * weights)
    along = np.einsum("ig,jg,g->ij", second, second, radii * weights)
    round_ = np.einsum("ig,jg,g->ij", across, across, radii * weights)
    return (along + poisson * (both + both.T) + round_) * h / 2


def lifts_by_elements(layers: Sequence[Layer], mount: Mount, pressures: Sequence[float], h: float = 0.25) -> Any:
    """Rim lifts at rising pressures, each begun from the one before. All radii lie on steps of h from the clamp."""
    shims = [(layer.od_mm / 2, layer.thickness_mm) for layer in layers for _ in range(layer.count)]
    ring = (mount.inner_radius_mm, mount.outer_radius_mm)
    elements = Elements(Case(shims, mount.hub_radius_mm, mount.base_radius_mm, ring, mount.youngs_mpa), h)
    lifts, moved = [], None
    for pressure in pressures:
        lift, moved = elements.lift_at(float(pressure), moved)
        lifts.append(lift)
    return np.array(lifts)
