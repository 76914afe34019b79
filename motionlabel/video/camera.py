"""Whether a camera is there."""

import cv2


def camera_is_there(index: int = 0) -> bool:
    """Tell whether a camera can be opened; it is let go at once.

    Parameters
    ----------
    index
        Number of the camera, from 0.
    """
    capture = cv2.VideoCapture(index)
    try:
        return bool(capture.isOpened())
    finally:
        capture.release()
