"""What solved curves tell about those that are not solved yet."""

from __future__ import annotations

import numpy as np
import pytest

from compat.engineering.plans.bent.learning import ALIKE, NOISE, correction

RANDOM = np.random.default_rng(20)


def test_what_is_known_is_given_back() -> None:
    features, errors = RANDOM.uniform(0, 4, (40, 3)), RANDOM.normal(0, 0.1, (12, 10))
    given = correction(features, np.arange(12), errors)
    assert given[:12] == pytest.approx(errors, abs=2e-3)


def test_the_same_stack_is_off_by_as_much_and_a_strange_one_by_the_mean() -> None:
    features = np.array([[0.0, 1.0], [3.0, 1.0], [3.0, 1.0], [90.0, 90.0]])
    errors = np.array([[0.1], [-0.3]])
    given = correction(features, np.array([0, 1]), errors)
    assert given[2] == pytest.approx(given[1])
    assert given[3] == pytest.approx(errors.mean())


def test_one_known_error_at_a_time_by_hand() -> None:
    """Two known ones and one between them: k K^-1 y for two points, written out."""
    features = np.array([[0.0], [2.0], [1.0]])
    errors = np.array([[0.2], [0.0]])
    near, apart = np.exp(-1 / (2 * ALIKE**2)), np.exp(-4 / (2 * ALIKE**2))
    # errors less their mean are +0.1 and -0.1, so both weights are 0.1 / (1 + NOISE - apart), with opposite signs
    weight = 0.1 / (1 + NOISE - apart)
    assert correction(features, np.array([0, 1]), errors)[2] == pytest.approx(0.1 + near * weight - near * weight)
    assert correction(features, np.array([0, 1]), errors)[0] == pytest.approx(0.1 + (1 - apart) * weight)


def test_smooth_errors_are_learned_from_a_few() -> None:
    """A known smooth function of the features, seen at 40 places, is met at 200 others; the mean alone is not."""
    features = np.random.default_rng(5).uniform(0, 2, (240, 2))
    errors = (0.2 * np.sin(features[:, 0]) * features[:, 1])[:, None]
    given = correction(features, np.arange(40), errors[:40])
    off = abs(given - errors)[40:]
    assert off.max() < 0.02
    assert abs(errors[40:] - errors[:40].mean()).max() > 0.1


def test_with_one_curve_nothing_is_learned() -> None:
    assert not correction(np.ones((3, 2)), np.array([0]), np.array([[0.5]])).any()
