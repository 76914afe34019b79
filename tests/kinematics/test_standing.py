"""The zero that quiet standing gives, and what must not be taken for standing."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXIS_INDEX, Axis, Joint, MotionAxis, Side
from motionlabel.kinematics import measure_angles, zero_by_standing
from motionlabel.kinematics.standing import quiet_standing
from tests.synthetic_body import clock, posed_body, ramp

KNEE = AXIS_INDEX[MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)]


def _standing_then_bent(offset_deg: float, depth_deg: float):
    """A body that stands, then bends its knees; the left knee reads wrong by an offset all through."""
    time_s = clock(4.0)
    body = posed_body(time_s, {"left_knee_flexion": ramp(time_s, [(2.0, 0.0), (3.0, 60.0)])})
    angles = measure_angles(body)
    wrong = angles.angle_rad.copy()
    wrong[:, KNEE] += np.radians(offset_deg)
    depth = np.full_like(wrong, np.radians(depth_deg))
    return body, angles, replace(angles, angle_rad=wrong, depth_sigma_rad=depth)


def test_an_offset_seen_in_the_picture_goes_at_all_angles():
    body, true, wrong = _standing_then_bent(-6.0, 1.0)
    assert quiet_standing(body).sum() > 20
    error = np.degrees(zero_by_standing(wrong, body).angle_rad[:, KNEE] - true.angle_rad[:, KNEE])
    assert_allclose(error, error[0], atol=1e-6)
    assert abs(error[0]) < 3.0  # the person may stand with knees of 0-5 deg


def test_an_offset_of_depth_goes_only_near_standing():
    body, true, wrong = _standing_then_bent(12.0, 10.0)
    error = np.degrees(zero_by_standing(wrong, body).angle_rad[:, KNEE] - true.angle_rad[:, KNEE])
    assert abs(error[0]) < 3.0
    assert_allclose(error[-1], 12.0, atol=0.5)


@pytest.mark.parametrize("knee_deg", [20.0, 28.0])
def test_a_held_bend_is_no_zero(knee_deg):
    time_s = clock(3.0)
    body = posed_body(time_s, {"left_knee_flexion": np.full(len(time_s), knee_deg)})
    before = measure_angles(body)
    assert_allclose(zero_by_standing(before, body).angle_rad[:, KNEE], before.angle_rad[:, KNEE])
