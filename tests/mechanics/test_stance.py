"""A pelvis that drops in single-leg stance is described from 4 degrees on, with its side; nothing else is."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Side
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics.stance import swing_drops
from motionlabel.records import BodyTrack
from tests.synthetic_body import clock, on_one_leg, posed_body, ramp

TIME_S = clock(5.0)


def _drop(degrees: float, swing: str, lift_m: float = 0.12, facing: float = 90.0) -> BodyTrack:
    """Quiet standing, one foot lifted, then the pelvis hangs to its side and comes back."""
    drop = ramp(TIME_S, [(0.0, 0.0), (2.0, 0.0), (2.5, degrees), (3.5, degrees), (4.0, 0.0)])
    return on_one_leg(TIME_S, swing, drop, ramp(TIME_S, [(0.0, 0.0), (1.2, 0.0), (1.6, lift_m)]), facing)


@pytest.mark.parametrize(("swing", "standing"), [("left", Side.RIGHT), ("right", Side.LEFT)])
@pytest.mark.parametrize("facing", [90.0, -90.0], ids=["front", "behind"])
def test_drop_is_told_with_its_side(swing, standing, facing):
    body = _drop(7.0, swing, facing=facing)
    (found,) = swing_drops(body, measure_angles(body))
    assert (found.side, found.standing) == (swing, standing)
    assert_allclose(np.degrees(found.drop_rad), 7.0, atol=0.3)
    assert found.sigma_rad > 0.0


@pytest.mark.parametrize(
    "body",
    [
        _drop(3.5, "left"),
        _drop(-8.0, "left"),
        _drop(8.0, "left", lift_m=0.0),
        _drop(8.0, "left", facing=0.0),
        posed_body(TIME_S, {}, facing=90.0),
    ],
    ids=["below 4 deg", "hitched up", "both feet down", "side view", "standing still"],
)
def test_nothing_to_tell(body):
    assert swing_drops(body, measure_angles(body)) == ()
