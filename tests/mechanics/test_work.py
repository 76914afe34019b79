"""Which group works, and how: exercises whose answer every textbook agrees on, with exact joint centres."""

import numpy as np
import pytest

from motionlabel.body import Axis, Centre, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.mechanics.demand import Demand, column_of
from motionlabel.mechanics.moments import LIMB_AXES
from motionlabel.mechanics.support import POINTS, Support
from motionlabel.mechanics.work import ASSUMPTIONS, _loads
from motionlabel.movement import find_phases
from motionlabel.records import BodyTrack, Phase
from tests.synthetic_body import body_of, clock, posed_body, ramp, squat

KEYS = [(1.0, 0.0), (2.2, 1.0), (2.8, 1.0), (4.0, 0.0)]
TIME_S = clock(5.2)
SHARE = ramp(TIME_S, KEYS)

CONCENTRIC, ECCENTRIC, ISOMETRIC = Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC


def _rows(body: BodyTrack) -> list:
    angles = measure_angles(body)
    return list(zip(*muscle_work(body, angles, find_phases(angles, body))))


def _work(body: BodyTrack, name: str) -> list[tuple]:
    return [
        (phase.motion, work.working_group, work.contraction) for phase, work in _rows(body) if phase.axis.name == name
    ]


@pytest.mark.parametrize("facing", [0.0, 45.0, 180.0])
@pytest.mark.parametrize("side", ["left", "right"])
def test_squat(side, facing):
    """Going down the hip flexes, and the hip EXTENSORS work, lengthening."""
    body = squat(TIME_S, 100.0 * SHARE, facing)
    for joint, group in (("hip", WorkingGroup.HIP_EXTENSORS), ("knee", WorkingGroup.KNEE_EXTENSORS)):
        assert _work(body, f"{side}_{joint}_flexion") == [
            (Motion.FLEXION, group, ECCENTRIC),
            (Motion.HOLD, group, ISOMETRIC),
            (Motion.EXTENSION, group, CONCENTRIC),
        ]


@pytest.mark.parametrize("noise_m", [0.002, 0.004])
def test_squat_with_wobbling_joint_centres(noise_m):
    still = squat(TIME_S, 100.0 * SHARE)
    noise = np.random.default_rng(1).standard_normal(still.centres_m.shape) * noise_m
    rows = _work(body_of(TIME_S, still.centres_m + noise), "right_hip_flexion")
    assert (Motion.FLEXION, WorkingGroup.HIP_EXTENSORS, ECCENTRIC) in rows
    assert (Motion.EXTENSION, WorkingGroup.HIP_EXTENSORS, CONCENTRIC) in rows
    assert WorkingGroup.HIP_FLEXORS not in {group for _, group, _ in rows}


EXERCISES = {
    "elbow curl": (
        lambda: posed_body(TIME_S, {"elbow_flexion": 120.0 * SHARE}),
        "right_elbow_flexion",
        WorkingGroup.ELBOW_FLEXORS,
    ),
    "standing knee curl": (
        lambda: posed_body(TIME_S, {"right_knee_flexion": 90.0 * SHARE}, fixed=Centre.LEFT_HEEL),
        "right_knee_flexion",
        WorkingGroup.KNEE_FLEXORS,
    ),
    "standing leg raise forward": (
        lambda: posed_body(TIME_S, {"left_hip_flexion": 60.0 * SHARE}, fixed=Centre.RIGHT_HEEL),
        "left_hip_flexion",
        WorkingGroup.HIP_FLEXORS,
    ),
    "supine straight leg raise": (
        lambda: posed_body(TIME_S, {"left_hip_flexion": 60.0 * SHARE}, lean=-90.0),
        "left_hip_flexion",
        WorkingGroup.HIP_FLEXORS,
    ),
    "standing hip abduction": (
        lambda: posed_body(TIME_S, {"left_hip_abduction": 35.0 * SHARE}, facing=90.0, fixed=Centre.RIGHT_HEEL),
        "left_hip_abduction",
        WorkingGroup.HIP_ABDUCTORS,
    ),
    "arm raise forward": (
        lambda: posed_body(TIME_S, {"shoulder_flexion": 90.0 * SHARE}),
        "left_shoulder_flexion",
        WorkingGroup.SHOULDER_FLEXORS,
    ),
    "arm raise sideways": (
        lambda: posed_body(TIME_S, {"shoulder_abduction": 85.0 * SHARE}, facing=90.0),
        "right_shoulder_abduction",
        WorkingGroup.SHOULDER_ABDUCTORS,
    ),
    "toe raise": (
        lambda: posed_body(TIME_S, {"ankle_dorsiflexion": 18.0 * SHARE}, fixed=Centre.LEFT_HEEL),
        "left_ankle_dorsiflexion",
        WorkingGroup.ANKLE_DORSIFLEXORS,
    ),
}


@pytest.mark.parametrize("exercise", EXERCISES)
def test_raising_shortens_and_lowering_lengthens_the_same_group(exercise):
    build, name, group = EXERCISES[exercise]
    rows = _work(build(), name)
    assert {found for _, found, _ in rows} == {group}
    assert [contraction for motion, _, contraction in rows if motion is not Motion.HOLD] == [CONCENTRIC, ECCENTRIC]
    assert all(contraction is ISOMETRIC for motion, _, contraction in rows if motion is Motion.HOLD)


def test_heel_raise():
    body = posed_body(
        TIME_S, {"ankle_dorsiflexion": -30.0 * SHARE, "hip_flexion": 8.0}, lean=8.0, fixed=Centre.LEFT_TOE
    )
    rows = [row for row in _work(body, "left_ankle_dorsiflexion") if row[0] is not Motion.HOLD]
    group = WorkingGroup.ANKLE_PLANTARFLEXORS
    assert rows == [(Motion.PLANTARFLEXION, group, CONCENTRIC), (Motion.DORSIFLEXION, group, ECCENTRIC)]


@pytest.mark.parametrize("facing", [0.0, 45.0, 90.0])
def test_standing_still_is_no_work(facing):
    assert not _rows(posed_body(clock(3.0), {"knee_flexion": 3.0, "shoulder_abduction": 8.0}, facing=facing))


def test_arms_hanging_are_no_work_in_a_squat():
    body = squat(TIME_S, 60.0 * SHARE)
    assert not [work for phase, work in _rows(body) if phase.axis.joint is Joint.ELBOW]


def test_a_group_changes_where_the_load_changes_sides():
    """Lying on the back, an arm goes from the side to overhead: past the vertical, gravity helps."""
    time_s = clock(6.0)
    body = posed_body(time_s, {"shoulder_flexion": ramp(time_s, [(1.0, 10.0), (5.0, 170.0)])}, lean=-90.0)
    rows = [row for row in _work(body, "left_shoulder_flexion") if row[0] is Motion.FLEXION]
    assert rows == [
        (Motion.FLEXION, WorkingGroup.SHOULDER_FLEXORS, CONCENTRIC),
        (Motion.FLEXION, WorkingGroup.SHOULDER_EXTENSORS, ECCENTRIC),
    ]
    split = next(phase.stop for phase, work in _rows(body) if work.working_group is WorkingGroup.SHOULDER_FLEXORS)
    assert abs(time_s[split] - 3.0) < 0.2


def test_a_shank_swinging_about_the_vertical_is_free():
    time_s = clock(7.0)
    swing = ramp(time_s, [(1.0, 0.0), (2.0, 45.0), (2.4, 45.0), (3.0, 38.0), (3.6, 52.0), (4.2, 38.0), (4.8, 52.0)])
    angles = {"right_hip_flexion": 45.0 * ramp(time_s, [(1.0, 0.0), (2.0, 1.0)]), "right_knee_flexion": swing}
    rows = [
        work
        for phase, work in _rows(posed_body(time_s, angles, fixed=Centre.LEFT_HEEL))
        if phase.axis.name == "right_knee_flexion" and time_s[phase.start] > 2.3 and phase.motion is not Motion.HOLD
    ]
    assert rows
    for work in rows:
        assert work.contraction is Contraction.FREE
        assert work.working_group is None
        assert work.trust > 0.5


def test_unknown_where_the_support_cannot_be_told():
    """The feet are not in the picture: what the legs carry is not known."""
    body = squat(TIME_S, 100.0 * SHARE)
    centres = body.centres_m.copy()
    for side in ("LEFT", "RIGHT"):
        for part in ("HEEL", "TOE", "BALL"):
            centres[:, Centre[f"{side}_{part}"]] = np.nan
    rows = _work(body_of(TIME_S, centres), "left_knee_flexion")
    assert rows
    assert {(group, contraction) for _, group, contraction in rows} == {(None, Contraction.UNKNOWN)}


def test_arms_are_told_though_the_feet_are_not_seen():
    body = posed_body(TIME_S, {"elbow_flexion": 120.0 * SHARE})
    centres = body.centres_m.copy()
    for part in ("KNEE", "ANKLE", "HEEL", "TOE", "BALL"):
        centres[:, [Centre[f"LEFT_{part}"], Centre[f"RIGHT_{part}"]]] = np.nan
    rows = [work for phase, work in _rows(body_of(TIME_S, centres)) if phase.axis.name == "left_elbow_flexion"]
    assert [work.contraction for work in rows] == [CONCENTRIC, ISOMETRIC, ECCENTRIC]
    assert {work.working_group for work in rows} == {WorkingGroup.ELBOW_FLEXORS}
    assert {work.support for work in rows} == {()}  # what carries the body is not in the picture


def test_unknown_where_the_view_leaves_the_sign_open():
    """A shallow bend seen from the front: the levers point at the camera."""
    front, side = (
        [work for phase, work in _rows(squat(TIME_S, 32.0 * SHARE, facing)) if phase.axis.name == "left_knee_flexion"]
        for facing in (90.0, 0.0)
    )
    assert front
    assert {(work.working_group, work.contraction, work.trust) for work in front} == {(None, Contraction.UNKNOWN, 0.0)}
    assert {work.working_group for work in side} == {WorkingGroup.KNEE_EXTENSORS}


def test_what_a_row_of_work_says():
    rows = _rows(squat(TIME_S, 100.0 * SHARE))
    for _, work in rows:
        if work.working_group is not None:
            assert 0.0 < work.trust <= 1.0
            assert work.sigma > 0.0
            assert set(work.support) == {"left foot", "right foot"}
    knee = next(work for phase, work in rows if phase.axis.name == "left_knee_flexion" and phase.motion is Motion.HOLD)
    assert knee.demand < 0.0  # extensors: against the axis's positive motion
    # half of the weight above the knee on a thigh 0.245 long, 72 degrees off the vertical
    assert -100 * 0.5 * 0.245 < knee.demand < -1.0


def test_assumptions_are_said_once():
    _, work = muscle_work(*_stages(squat(TIME_S, 100.0 * SHARE)))
    assert work.assumptions == ASSUMPTIONS
    assert sum("weight" in sentence.lower() for sentence in ASSUMPTIONS) >= 1


def test_the_same_clip_gives_the_same_answer():
    body = squat(TIME_S, 100.0 * SHARE, facing=45.0)
    first, second = (muscle_work(*_stages(body)) for _ in range(2))
    assert first == second


def _stages(body: BodyTrack) -> tuple:
    angles = measure_angles(body)
    return body, angles, find_phases(angles, body)


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_frame_rate_changes_no_decision(fps):
    def decisions(rate: float) -> set:
        time_s = clock(5.2, rate)
        return {
            (phase.axis.name, phase.motion, work.working_group, work.contraction)
            for phase, work in _rows(squat(time_s, 100.0 * ramp(time_s, KEYS)))
            if phase.axis.joint in (Joint.HIP, Joint.KNEE)
        }

    assert decisions(fps) == decisions(30.0)


KNEE = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)
FPS = 30.0


def _split(moment: np.ndarray) -> list[tuple[int, int, int]]:
    """Signs and frames that ``_loads`` cuts a phase into, with a threshold of 1."""
    frames = len(moment)
    moments = np.zeros((frames, len(LIMB_AXES)))
    moments[:, column_of(KNEE)] = moment
    contacts = np.zeros((frames, len(POINTS)))
    flat = np.zeros_like(moments)
    demand = Demand(
        moment=moments,
        samples=moments[None].astype(np.float32),
        unseen=flat,
        strut=flat,
        threshold=np.ones_like(moments),
        carried=flat,
        support=Support(contacts.astype(bool), contacts),
    )
    phase = Phase(KNEE, Motion.FLEXION, 0, frames, 1, 1.0)
    return [(load.sign, load.start, load.stop) for load in _loads(phase, demand, column_of(KNEE), FPS)]


@pytest.mark.parametrize(
    ("moment", "loads"),
    [
        (np.full(40, 3.0), [(1, 0, 40)]),
        (np.full(40, -3.0), [(-1, 0, 40)]),
        (np.full(40, 0.5), [(0, 0, 40)]),
        # frames below the threshold take the sign of their span
        (np.r_[np.full(10, 0.3), np.full(30, -3.0)], [(-1, 0, 40)]),
        # a clear change of sign cuts it
        (np.r_[np.full(20, 3.0), np.full(20, -3.0)], [(1, 0, 20), (-1, 20, 40)]),
        (np.linspace(4.0, -4.0, 40), [(1, 0, 20), (-1, 20, 40)]),
        # too short, and too light
        (np.r_[np.full(3, 9.0), np.full(37, -3.0)], [(-1, 0, 40)]),
        (np.r_[np.full(8, 1.2), np.full(32, -6.0)], [(-1, 0, 40)]),
        # unknown frames do not cut
        (np.r_[np.full(15, 3.0), np.full(10, np.nan), np.full(15, 3.0)], [(1, 0, 40)]),
    ],
)
def test_a_phase_is_split_only_where_the_load_clearly_changes_sides(moment, loads):
    assert _split(moment) == loads
