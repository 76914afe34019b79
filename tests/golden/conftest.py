"""Comparison with stored pictures; ``--refresh-golden`` stores new ones, to be looked at before they are kept."""

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest

FOLDER = Path(__file__).parent
MOST_DIFFERENT = 0.005  # share of pixels
FAR_APART = 16  # of 255


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--refresh-golden", action="store_true", help="store the pictures as the expected ones")


@pytest.fixture
def same_picture(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[str, np.ndarray], None]:
    """Hold a picture against the stored one of that name."""

    def compare(name: str, picture: np.ndarray) -> None:
        path = FOLDER / f"{name}.png"
        if request.config.getoption("--refresh-golden", default=False):
            cv2.imwrite(str(path), picture)
            return
        expected = cv2.imread(str(path))
        assert expected is not None, f"{path} is missing: look at the picture, then run pytest with --refresh-golden"
        assert picture.shape == expected.shape
        difference = cv2.absdiff(picture, expected)
        share = float((difference.max(axis=2) > FAR_APART).mean())
        if share > MOST_DIFFERENT:
            for kind, image in (("actual", picture), ("expected", expected), ("difference", difference)):
                cv2.imwrite(str(tmp_path / f"{name}.{kind}.png"), image)
            pytest.fail(f"{name}: {share:.1%} of the pixels differ; see {tmp_path}")

    return compare
