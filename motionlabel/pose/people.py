"""The people of a clip, told apart over sampled pictures, and who of them exercises."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from motionlabel.body import Landmark
from motionlabel.errors import UsageError
from motionlabel.pose.backend import Detection
from motionlabel.pose.gate import TORSO
from motionlabel.records import Array, PersonChoice

_LIMBS = np.arange(Landmark.LEFT_ELBOW, Landmark.RIGHT_FOOT_INDEX + 1)
_VISIBLE = 0.5
_SAME_PERSON = 0.25  # sizes apart; nearer detections in one picture are one person twice
_FURTHEST_STEP = 0.7  # sizes from one sampled picture to the next that a person may have moved
_RAREST_SHARE = 0.05  # of the sampled pictures: who is seen in fewer is no person of the clip
# Source of the above: own convention


@dataclass(frozen=True, slots=True)
class Outline:
    """Where a person is in a picture.

    Attributes
    ----------
    centre_px
        (2,) middle of the torso, pixels.
    box_px
        (4,) left, top, right, bottom of all landmarks, pixels.
    """

    centre_px: Array
    box_px: Array

    @property
    def size_px(self) -> float:
        """Longer side of the box, pixels."""
        return float(max(self.box_px[2] - self.box_px[0], self.box_px[3] - self.box_px[1], 1.0))


def outline(detection: Detection) -> Outline:
    """Return where a detected person is."""
    points = detection.image_px
    return Outline(points[TORSO].mean(axis=0), np.concatenate([points.min(axis=0), points.max(axis=0)]))


@dataclass(frozen=True, slots=True)
class Sighting:
    """Everybody in one sampled picture.

    Attributes
    ----------
    index
        Frame of the clip.
    time_s
        Its time, seconds.
    people
        Detections in no order.
    """

    index: int
    time_s: float
    people: tuple[Detection, ...]


@dataclass(frozen=True, slots=True)
class Person:
    """One person over the sampled pictures in which he or she was seen.

    Attributes
    ----------
    index
        (N,) frames.
    time_s
        (N,) seconds.
    centre_px
        (N, 2) middle of the torso.
    box_px
        (N, 4) left, top, right, bottom.
    movement
        How much the limbs move from sample to sample, in sizes of the person, times the share of
        the samples in which the person is seen. Walking across the picture does not count.
    """

    index: NDArray[np.int64]
    time_s: Array
    centre_px: Array
    box_px: Array
    movement: float

    def outline_at(self, time_s: float) -> Outline:
        """Return where the person is at a time: between samples in proportion, outside as at the nearest."""
        track = np.concatenate([self.centre_px, self.box_px], axis=1)
        now = np.array([np.interp(time_s, self.time_s, column) for column in track.T])
        return Outline(now[:2], now[2:])


def separate(people: list[Detection]) -> list[Detection]:
    """Drop detections that are another one of the list again."""
    kept: list[Detection] = []
    for person in people:
        place = outline(person)
        others = (outline(other) for other in kept)
        if all(np.linalg.norm(place.centre_px - o.centre_px) > _SAME_PERSON * o.size_px for o in others):
            kept.append(person)
    return kept


def seen_together(sightings: list[Sighting]) -> bool:
    """Tell whether several people are in the picture at once, in more than a single sample."""
    return sum(len(sighting.people) > 1 for sighting in sightings) >= min(2, len(sightings)) > 0


def tell_apart(sightings: list[Sighting]) -> tuple[Person, ...]:
    """Follow each person from sample to sample, by place and size.

    Parameters
    ----------
    sightings
        Samples in order of time.

    Returns
    -------
    People, left to right at first sight.
    """
    tracks: list[list[tuple[Sighting, Detection]]] = []
    for sighting in sightings:
        places = [outline(person) for person in sighting.people]
        cost = np.full((len(tracks), len(places)), np.inf)
        for row, track in enumerate(tracks):
            last = outline(track[-1][1])
            for column, place in enumerate(places):
                step = np.linalg.norm(place.centre_px - last.centre_px) / last.size_px
                if step <= _FURTHEST_STEP:
                    cost[row, column] = step + abs(np.log(place.size_px / last.size_px))
        taken = set()
        pairs = linear_sum_assignment(np.where(np.isfinite(cost), cost, 1e6))
        for row, column in np.transpose(pairs).tolist():
            if np.isfinite(cost[row, column]):
                tracks[row].append((sighting, sighting.people[column]))
                taken.add(column)
        tracks.extend([(sighting, person)] for i, person in enumerate(sighting.people) if i not in taken)
    fewest = max(2, int(np.ceil(_RAREST_SHARE * len(sightings))))
    people = [_person(track, len(sightings)) for track in tracks if len(track) >= min(fewest, len(sightings))]
    return tuple(sorted(people, key=lambda person: person.centre_px[0, 0]))


def _person(track: list[tuple[Sighting, Detection]], samples: int) -> Person:
    places = [outline(person) for _, person in track]
    size_px = float(np.median([place.size_px for place in places]))
    # limbs about the torso: neither a walker nor a moving camera counts
    limbs = np.array([(person.image_px - place.centre_px)[_LIMBS] for (_, person), place in zip(track, places)])
    visible = np.array([person.visibility[_LIMBS] >= _VISIBLE for _, person in track])
    steps = np.linalg.norm(np.diff(limbs, axis=0), axis=2) / size_px
    counted = visible[1:] & visible[:-1]
    movement = float(steps[counted].mean()) if counted.any() else 0.0
    return Person(
        index=np.array([sighting.index for sighting, _ in track]),
        time_s=np.array([sighting.time_s for sighting, _ in track]),
        centre_px=np.array([place.centre_px for place in places]),
        box_px=np.array([place.box_px for place in places]),
        movement=movement * len(track) / samples,
    )


def choose(people: tuple[Person, ...], wanted: int | None, name: str) -> PersonChoice:
    """Choose whom to follow.

    Parameters
    ----------
    people
        As ``tell_apart`` numbers them.
    wanted
        Number from 1; ``None`` = who moves most.
    name
        Name of the clip, for the message.

    Raises
    ------
    UsageError
        There is no such number.
    """
    count = max(len(people), 1)
    if wanted is not None and not 1 <= wanted <= count:
        seen = "only 1 person was" if count == 1 else f"{count} people were"
        raise UsageError(
            f"There is no person {wanted} in {name}: {seen} seen, give --person 1 to {count} or leave it out."
        )
    if count == 1:
        return PersonChoice(1, 1, "1 person was seen.")
    if wanted is not None:
        return PersonChoice(count, wanted, f"{count} people were seen; number {wanted} was followed, as asked.")
    most = int(np.argmax([person.movement for person in people])) + 1
    return PersonChoice(count, most, f"{count} people were seen; number {most}, who moves most, was followed.")
