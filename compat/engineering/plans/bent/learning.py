"""Predicted curves corrected by those that were solved: stand-ins that are alike are predicted wrong alike.

A Gaussian process on what is solved so far, the plain prediction its mean before that. Source: C. E. Rasmussen and
C. K. I. Williams, Gaussian Processes for Machine Learning (2006), equation 2.25 and section 2.7 (from memory).
"""

from __future__ import annotations

import numpy as np

from compat.engineering.bending.plates import Array
from compat.engineering.plans.bent.swaps import Numbers, Swaps
from compat.engineering.units import um_to_mm

ALIKE = 1.0  # how far apart two stand-ins may be, in parts of what is missing, to be predicted wrong alike
NOISE = 1e-4  # of the correction's own variance: contacts that open or close make it rough


def features_of(swap: Swaps) -> Array:
    """(n, features) of each swap, in parts of what is missing: its t^3 in each diameter, and its height.

    They are what a stack's curve depends on, so stand-ins of the same features have the same curve.
    """
    thickness = np.array([um_to_mm(size.thickness_um) for size in swap.sizes])
    od = np.array([size.od_um for size in swap.sizes])
    asked = um_to_mm(swap.position.size.thickness_um)
    cubes = [swap.sums(thickness**3 * (od == one)) / (swap.missing * asked**3) for one in np.unique(od)]
    return np.stack([*cubes, swap.sums(thickness) / (swap.missing * asked)], axis=1)


def correction(features: Array, known: Numbers, errors: Array) -> Array:
    """(n, lifts): by what every prediction is likely to be off, from the `errors` (k, lifts) of the `known` ones (k,).

    features: (n, f).
    """
    if len(known) < 2:
        return np.zeros((len(features), errors.shape[1]))
    mean = errors.mean(axis=0)
    across = _alike(features, features[known])
    weights = np.linalg.solve(across[known] + NOISE * np.eye(len(known)), errors - mean)
    return np.asarray(mean + across @ weights)


def _alike(one: Array, other: Array) -> Array:
    """(n, k): 1 for the same features, 0 for those far apart."""
    squares = (one**2).sum(axis=1)[:, None] + (other**2).sum(axis=1) - 2 * one @ other.T
    return np.asarray(np.exp(-np.maximum(squares, 0.0) / (2 * ALIKE**2)))
