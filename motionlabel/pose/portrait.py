"""The picture with numbered people, from which the user chooses."""

import cv2
import numpy as np

from motionlabel.pose.people import Person
from motionlabel.video.stream import Image

# BGR; apart for colour-blind viewers (Okabe and Ito 2008: orange, sky blue, bluish green, yellow, vermilion)
_COLOURS = ((0, 159, 230), (233, 180, 86), (115, 158, 0), (66, 228, 240), (0, 94, 213))
_INK = (20, 20, 20)
_ROOM = 0.06  # of the person's size, between body and box. Source: own convention


def clearest_frame(people: tuple[Person, ...]) -> int:
    """Return the first sampled frame in which most of the people are."""
    frames, counts = np.unique(np.concatenate([person.index for person in people]), return_counts=True)
    return int(frames[np.argmax(counts)])


def number_people(image: Image, people: tuple[Person, ...], time_s: float) -> Image:
    """Draw a box and a big number round each person.

    Parameters
    ----------
    image
        (H, W, 3) uint8 BGR; not changed.
    people
        Numbered from 1 in their order.
    time_s
        Time of the picture, seconds.

    Returns
    -------
    A new picture. Who is not in it has the box of the nearest time.
    """
    picture = image.copy()
    height, width = image.shape[:2]
    unit = min(height, width)
    line = max(unit // 240, 2)
    tag = max(unit // 9, 28)
    for number, person in enumerate(people, start=1):
        colour = _COLOURS[(number - 1) % len(_COLOURS)]
        place = person.outline_at(time_s)
        # the topmost landmark is an eye: room for the head, and some about the body
        room = place.size_px * np.array([-_ROOM, -2 * _ROOM, _ROOM, _ROOM])
        left, top, right, bottom = (int(v) for v in np.rint(place.box_px + room))
        cv2.rectangle(picture, (left, top), (right, bottom), _INK, 3 * line)
        cv2.rectangle(picture, (left, top), (right, bottom), colour, line)
        # beside the body, so that the face stays free
        x = left - tag if left >= tag else min(right, width - tag)
        y = int(np.clip(top, 0, max(height - tag, 0)))
        cv2.rectangle(picture, (x, y), (x + tag, y + tag), colour, cv2.FILLED)
        cv2.rectangle(picture, (x, y), (x + tag, y + tag), _INK, line)
        text, font, scale, weight = str(number), cv2.FONT_HERSHEY_SIMPLEX, tag / 34.0, max(tag // 12, 2)
        (wide, high), _ = cv2.getTextSize(text, font, scale, weight)
        at = (x + (tag - wide) // 2, y + (tag + high) // 2)
        cv2.putText(picture, text, at, font, scale, _INK, weight, cv2.LINE_AA)
    return picture
