import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from motionlabel.body import Landmark
from motionlabel.errors import UsageError
from motionlabel.pose.backend import Detection
from motionlabel.pose.following import Follower
from motionlabel.pose.gate import gated
from motionlabel.pose.people import Sighting, choose, seen_together, separate, tell_apart
from motionlabel.pose.portrait import clearest_frame, number_people
from motionlabel.pose.survey import sampled_frames
from motionlabel.records import Frame

L = len(Landmark)
SHAPE = np.random.default_rng(3).uniform([-40, -100], [40, 100], (L, 2))
SHAPE[[Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER, Landmark.LEFT_HIP, Landmark.RIGHT_HIP]] = [
    (20, -60),
    (-20, -60),
    (15, 10),
    (-15, 10),
]
SHAPE[0], SHAPE[1] = (-40, -100), (40, 100)


def body(x: float, y: float = 300.0, limbs: float = 0.0, size: float = 1.0) -> Detection:
    points = SHAPE * size + (x, y)
    points[Landmark.LEFT_ELBOW : Landmark.LEFT_THUMB + 1, 1] += limbs
    return Detection(points, np.zeros((L, 3)), np.ones(L))


def sightings(*people_at) -> list[Sighting]:
    """One sighting for each step; each person is a function of the step that may give None."""
    found = [[one for one in (at(i) for at in people_at) if one is not None] for i in range(20)]
    return [Sighting(i * 10, i / 3, tuple(people)) for i, people in enumerate(found)]


def test_numbers_go_left_to_right_whoever_is_found_first():
    people = tell_apart(sightings(lambda i: body(500), lambda i: body(200)))
    assert [person.centre_px[0, 0] for person in people] == [200, 500]


def test_who_moves_the_limbs_is_chosen_and_not_who_walks():
    walker, mover = lambda i: body(100 + 20 * i), lambda i: body(700, limbs=30 * (i % 2))
    choice = choose(tell_apart(sightings(walker, mover)), None, "clip.mp4")
    assert (choice.count, choice.number) == (2, 2)
    assert "2 people" in choice.reason


def test_movement_counts_relative_to_size():
    big = lambda i: body(300, limbs=30 * (i % 2), size=3.0)  # noqa: E731
    small = lambda i: body(800, limbs=20 * (i % 2))  # noqa: E731
    assert choose(tell_apart(sightings(big, small)), None, "").number == 2


def test_people_who_leave_and_enter_are_one_each():
    late = lambda i: body(500) if i > 8 else None  # noqa: E731
    gap = lambda i: body(200) if not 5 < i < 9 else None  # noqa: E731
    people = tell_apart(sightings(gap, late))
    assert [len(person.index) for person in people] == [17, 11]


def test_a_single_false_find_is_nobody():
    ghost = lambda i: body(800) if i == 3 else None  # noqa: E731
    seen = sightings(lambda i: body(200), ghost)
    assert not seen_together(seen)
    assert len(tell_apart(seen)) == 1


def test_the_same_person_twice_in_a_picture_is_one():
    assert len(separate([body(200), body(215), body(400)])) == 2


@pytest.mark.parametrize("wanted", [0, 3, -1])
def test_a_number_that_nobody_has(wanted):
    people = tell_apart(sightings(lambda i: body(200), lambda i: body(500)))
    with pytest.raises(UsageError, match=r"clip\.mp4.*2 people"):
        choose(people, wanted, "clip.mp4")


def test_a_wanted_number_is_followed():
    people = tell_apart(sightings(lambda i: body(200), lambda i: body(500, limbs=30 * (i % 2))))
    assert choose(people, 1, "").number == 1


@pytest.mark.parametrize(("x", "y", "kept"), [(300, 300, True), (-200, 300, False), (300, 900, False), (15, 300, True)])
def test_people_outside_the_picture_are_invented(x, y, kept):
    assert (gated(body(x, y), 640, 480) is not None) is kept


def test_low_visibility_is_nobody():
    ghost = body(300)
    ghost.visibility[:] = 0.2
    assert gated(ghost, 640, 480) is None
    assert gated(None, 640, 480) is None


def test_landmarks_outside_the_picture_are_not_visible():
    found = gated(body(300, 420), 640, 480)
    assert found.visibility[1] == 0  # 40 px under the lower edge
    assert found.visibility[0] == 1


def test_samples_cover_the_whole_clip():
    for frames in (1, 2, 3, 50, 121, 900, 18000):
        samples = sorted(sampled_frames(frames))
        assert samples[0] == 0
        assert samples[-1] < frames
        assert len(samples) == min(np.clip(frames // 30, 3, 24), frames)
        assert np.diff([*samples, frames]).max() <= 2 * np.ceil(frames / len(samples))


class _Told:
    """A backend that answers what it is told and keeps what it is shown."""

    def __init__(self, answers: list[Detection | None]) -> None:
        self.answers, self.shown = answers, []

    def detect(self, frame: Frame) -> Detection | None:
        self.shown.append(frame.image)
        return self.answers[len(self.shown) - 1]

    def __enter__(self):
        return self

    def __exit__(self, *details):
        return None


def test_the_landmarker_is_shown_the_chosen_person_only():
    person, other = tell_apart(sightings(lambda i: body(200), lambda i: body(500)))
    told = _Told([body(203), body(500), None, body(201)])
    follower = Follower(told, person, (other,))
    image = np.zeros((600, 800, 3), np.uint8)
    found = [follower.detect(Frame(image, i, i / 30)) for i in range(4)]
    assert found[0] is not None
    assert found[1:3] == [None, None]  # someone else; then a blank picture to make it look afresh
    assert found[3] is not None
    assert_array_equal(told.shown[0][:, 400:], 127)
    assert_array_equal(told.shown[0][200:400, 165:235], 0)
    assert_array_equal(told.shown[2], 127)


def test_people_picture_shows_numbers_beside_the_people():
    people = tell_apart(sightings(lambda i: body(200) if i > 2 else None, lambda i: body(500)))
    assert clearest_frame(people) == 30
    image = np.zeros((600, 800, 3), np.uint8)
    picture = number_people(image, people, 1.0)
    assert picture.shape == image.shape
    assert not image.any()
    assert picture[:, :400].any()
    assert picture[:, 400:].any()
    assert_allclose(picture[280:320, 190:210], 0)  # the body stays free
