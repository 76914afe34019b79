"""How long pictures take from the camera to the screen, and how many come."""

from collections import deque

import numpy as np

_KEPT = 300  # pictures, about ten seconds: own convention


class Latency:
    """Measures the last pictures."""

    def __init__(self) -> None:
        self._delays_s: deque[float] = deque(maxlen=_KEPT)
        self._shown_s: deque[float] = deque(maxlen=_KEPT)

    def shown(self, captured_s: float, now_s: float) -> None:
        """Take in that a picture captured then is on the screen now."""
        self._delays_s.append(now_s - captured_s)
        self._shown_s.append(now_s)

    @property
    def per_second(self) -> float:
        """Pictures shown a second; 0 before the second one."""
        if len(self._shown_s) < 2:
            return 0.0
        return (len(self._shown_s) - 1) / max(self._shown_s[-1] - self._shown_s[0], 1e-6)

    def percentile_ms(self, share: float) -> float:
        """Delay that this share (0-100) of the pictures stays below, milliseconds; NaN before the first one."""
        return float(np.percentile(self._delays_s, share)) * 1000.0 if self._delays_s else float("nan")
