"""What is drawn of a muscle or a nerve at one frame."""

from dataclasses import dataclass

from motionlabel.records import Array


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLine:
    """One line of action of a muscle, or the course of a nerve, at one frame.

    Attributes
    ----------
    points_px
        (K, 2) pixels of the study's picture, proximal to distal, evenly spread along the line, smooth.
    depth_m
        (K,) towards the camera, metres, against the axis of the limb beside the point: positive in front of the
        bone, negative behind it.
    sigma_px
        Standard deviation of its place across the picture, pixels.
    fullness
        Width against that at anatomical length: above 1 shorter and fuller, below 1 longer and thinner; always 1
        for a nerve and where an angle is unknown.
    estimated
        Whether points of it are own estimates from bony landmarks.
    """

    points_px: Array
    depth_m: Array
    sigma_px: float
    fullness: float
    estimated: bool


@dataclass(frozen=True, slots=True, eq=False)
class BodyPoint:
    """An attachment at one frame.

    Attributes
    ----------
    name
        The bony landmark, in the words of the atlas.
    point_px
        (2,) pixels of the study's picture.
    sigma_px
        Standard deviation of its place across the picture, pixels.
    """

    name: str
    point_px: Array
    sigma_px: float
