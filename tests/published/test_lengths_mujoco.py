"""Lengths and moment arms of whole paths against MuJoCo: its own joints, sites and tendons."""

import mujoco
import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.musculature.bone import Bone, Freedom
from motionlabel.musculature.line import length_m
from motionlabel.musculature.moment_arm import moment_arm_m
from motionlabel.musculature.paths import all_lines
from motionlabel.musculature.skeleton import FEMUR_M, FOOT_M, PELVIS_M, TIBIA_M, flexions_of, posed

# pelvis fixed; each body hangs on the one before by the joints named, which turn about their axis in its frame
_LEG = """
<mujoco><compiler angle="radian" autolimits="false"/><worldbody><body>{pelvis}
 <body pos="0 0 {hip}">
  <joint name="hip flexion" axis="0 0 1"/><joint name="hip abduction" axis="-1 0 0"/>
  <joint name="hip internal rotation" axis="0 1 0"/>{femur}<geom size=".01" mass="1"/>
  <body pos="0 -{thigh} 0"><joint name="knee flexion" axis="0 0 -1"/>{tibia}<geom size=".01" mass="1"/>
   <body pos="0 -{shank} 0"><joint name="ankle dorsiflexion" axis="-.105 -.174 .979"/>{foot}
    <geom size=".01" mass="1"/>
</body></body></body></body></worldbody><tendon><spatial name="line">{sites}</spatial></tendon></mujoco>
"""
_LENGTHS = {Bone.PELVIS: PELVIS_M, Bone.FEMUR: FEMUR_M, Bone.TIBIA: TIBIA_M, Bone.FOOT: FOOT_M}
_FREEDOMS = (
    Freedom.HIP_FLEXION,
    Freedom.HIP_ABDUCTION,
    Freedom.HIP_ROTATION,
    Freedom.KNEE_FLEXION,
    Freedom.ANKLE_DORSIFLEXION,
)
_POSTURES = [
    {},
    {Freedom.HIP_FLEXION: 0.9, Freedom.KNEE_FLEXION: 1.2, Freedom.ANKLE_DORSIFLEXION: 0.2},
    {Freedom.HIP_FLEXION: 0.4, Freedom.HIP_ABDUCTION: 0.5, Freedom.HIP_ROTATION: 0.3, Freedom.KNEE_FLEXION: 0.6},
]
_MUSCLES = (
    "psoas major",
    "gluteus maximus",
    "biceps femoris (long head)",
    "semitendinosus",
    "gracilis",
    "gastrocnemius (medial and lateral heads)",
    "tibialis anterior",
    "fibularis longus",
)


def _model(points, flexions):
    sites = dict.fromkeys(_LENGTHS, "")
    for k, point in enumerate(points):
        x, y, z = _LENGTHS[point.bone] * point.place(flexions)
        sites[point.bone] += f'<site name="p{k}" pos="{x} {y} {z}"/>'
    order = "".join(f'<site site="p{k}"/>' for k in range(len(points)))
    by_name = {bone.value: text for bone, text in sites.items()}
    xml = _LEG.format(hip=0.5 * PELVIS_M, thigh=FEMUR_M, shank=TIBIA_M, sites=order, **by_name)
    return mujoco.MjModel.from_xml_string(xml)


@pytest.mark.parametrize("posture", _POSTURES, ids=range(len(_POSTURES)))
@pytest.mark.parametrize("muscle", _MUSCLES)
def test_length_and_arms_are_those_of_mujoco(muscle, posture):
    for line in all_lines()[muscle]:
        points = line.active(flexions_of(posture))
        model = _model(points, flexions_of(posture))
        data = mujoco.MjData(model)
        for freedom in _FREEDOMS:
            data.qpos[model.joint(freedom.value).qposadr] = posture.get(freedom, 0.0)
        mujoco.mj_forward(model, data)
        assert_allclose(length_m(points, posed(posture), flexions_of(posture)), data.ten_length[0], atol=1e-9)
        slopes = []
        for freedom in _FREEDOMS:
            data.qvel[:] = 0.0
            data.qvel[model.joint(freedom.value).dofadr] = 1.0
            mujoco.mj_forward(model, data)
            slopes.append(data.ten_velocity[0])
        arms = [moment_arm_m(line, freedom, posture) for freedom in _FREEDOMS]
        # ours is a difference over 10 degrees, so it rounds the curve
        assert_allclose(arms, -np.array(slopes), atol=2e-3)
