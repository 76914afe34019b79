"""What every ``PoseBackend`` keeps to."""

from itertools import islice
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from motionlabel.body import Landmark
from motionlabel.pose import PoseBackend, model_path
from motionlabel.pose.backend import Detection
from motionlabel.pose.following import Follower
from motionlabel.pose.landmarker import Landmarker
from motionlabel.pose.people import Sighting, tell_apart
from motionlabel.pose.replay import Replay
from motionlabel.records import Frame, LandmarkTrack
from motionlabel.video import FileSource

DEMO = Path(__file__).parents[2] / "demo_clips"


@pytest.fixture(scope="module")
def frames() -> list[Frame]:
    with FileSource(DEMO / "standing_still.mp4") as source:
        return list(islice(source, 5))


@pytest.fixture(scope="module")
def stored(frames) -> LandmarkTrack:
    with Landmarker(model_path("lite")) as landmarker:
        found = [landmarker.detect(frame) for frame in frames]
    return LandmarkTrack(
        np.array([frame.time_s for frame in frames]),
        np.array([one.image_px for one in found]),
        np.array([one.world_m for one in found]),
        np.array([one.visibility for one in found]),
    )


@pytest.fixture(params=["landmarker", "replay", "follower"])
def backend(request, stored) -> PoseBackend:
    match request.param:
        case "replay":
            return Replay(stored)
        case "follower":
            person = Detection(stored.image_px[0], stored.world_m[0], stored.visibility[0])
            (seen,) = tell_apart([Sighting(i, i / 30, (person,)) for i in range(2)])
            return Follower(Landmarker(model_path("lite")), seen)
        case _:
            return Landmarker(model_path("lite"))


def test_a_person_is_found_inside_the_picture(backend, frames):
    with backend:
        for frame in frames:
            found = backend.detect(frame)
            assert found is not None
            assert np.all((found.visibility >= 0) & (found.visibility <= 1))
            height, width = frame.image.shape[:2]
            assert np.all((found.image_px > 0) & (found.image_px < (width, height)))


def test_left_is_the_persons(backend, frames):
    with backend:
        found = backend.detect(frames[0])
    # the person of the clip looks at the camera, half turned: the left side is right in the picture
    assert found.image_px[Landmark.LEFT_SHOULDER, 0] > found.image_px[Landmark.RIGHT_SHOULDER, 0]


def test_world_points_are_about_the_hips(backend, frames):
    with backend:
        found = backend.detect(frames[0])
    hips = found.world_m[[Landmark.LEFT_HIP, Landmark.RIGHT_HIP]]
    assert np.linalg.norm(hips.mean(axis=0)) < 0.03
    assert found.world_m[Landmark.NOSE, 1] < 0 < found.world_m[Landmark.LEFT_ANKLE, 1]


def test_the_frame_is_not_changed(backend, frames):
    before = frames[0].image.copy()
    with backend:
        backend.detect(frames[0])
    assert_array_equal(frames[0].image, before)


@pytest.mark.parametrize("second", [0, 1])
def test_time_must_grow(backend, frames, second):
    with backend:
        backend.detect(frames[1])
        with pytest.raises(ValueError, match="comes after"):
            backend.detect(frames[second])
