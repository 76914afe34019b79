"""Quantiles and vector products against NumPy's own."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.kinematics.known import known_median, known_quantile, known_quantiles
from motionlabel.kinematics.rotations import cross, level_forward


@pytest.mark.parametrize("count", [1, 2, 5, 40])
@pytest.mark.parametrize("share", [0.0, 0.04, 0.25, 0.5, 0.98, 1.0])
def test_a_quantile_is_that_of_numpy(count, share):
    """Source: ``numpy.nanpercentile``, method "linear"."""
    values = np.random.default_rng(count).normal(size=count + 3)
    values[[0, count // 2 + 1]] = np.nan
    assert_allclose(known_quantile(values, share), np.nanpercentile(values, 100 * share))
    columns = np.stack([values, -values], axis=1)
    assert_allclose(known_quantiles(columns, share), np.nanpercentile(columns, 100 * share, axis=0))


def test_of_nothing_known_nothing_is_known():
    assert np.isnan(known_median(np.full(4, np.nan)))
    assert np.isnan(known_median(np.zeros(0)))


def test_values_stay_in_their_order():
    values = np.array([3.0, 1.0, 2.0])
    assert known_median(values) == 2.0
    assert values.tolist() == [3.0, 1.0, 2.0]


def test_a_vector_product_is_that_of_numpy():
    """Source: ``numpy.cross``."""
    a, b = np.random.default_rng(1).normal(size=(2, 7, 4, 3))
    assert_allclose(cross(a, b), np.cross(a, b))
    assert_allclose(level_forward(a), np.cross([0.0, 1.0, 0.0], a))
