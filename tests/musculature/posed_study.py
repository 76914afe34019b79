"""Studies of synthetic bodies, for the placement of muscles."""

import numpy as np

from motionlabel.body import Segment
from motionlabel.kinematics import measure_angles
from motionlabel.records import BodyTrack, PersonChoice, PhaseTable, Study, WorkTable
from tests.synthetic_body import clock, facts_of, landmarks_of, posed_body


def study_of(body: BodyTrack) -> Study:
    """Return the study of a body that looks straight ahead; nothing in it moves or works."""
    body.segment_rotations[:, Segment.HEAD] = body.segment_rotations[:, Segment.TRUNK]
    return Study(
        video=facts_of(body),
        person=PersonChoice(),
        landmarks=landmarks_of(body),
        body=body,
        angles=measure_angles(body),
        phases=PhaseTable(()),
        work=WorkTable((), ()),
        model_sha256="0" * 64,
    )


def posed_study(degrees: dict[str, float] | None = None, facing: float = 0.0, lean: float = 0.0) -> Study:
    """Return the study of a body that keeps a posture for half a second."""
    time_s = clock(0.5)
    angles = {name: np.full(len(time_s), value) for name, value in (degrees or {}).items()}
    return study_of(posed_body(time_s, angles, facing=facing, lean=lean))
