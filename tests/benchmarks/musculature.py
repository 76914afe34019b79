"""What it costs to place muscles and nerves at a frame. Run by hand.

python tests/benchmarks/musculature.py
"""

import time

from motionlabel.anatomy import atlas
from motionlabel.body import Side
from motionlabel.musculature import Musculature, length_change
from tests.truth_study import truth_study

_MUSCLES = (
    "gluteus maximus",
    "biceps femoris (long head)",
    "semitendinosus",
    "semimembranosus",
    "rectus femoris",
    "vastus lateralis",
)
_NERVES = (("inferior gluteal nerve", "gluteus maximus"), ("tibial part of sciatic nerve", "semitendinosus"))
_ROUNDS, _FRAMES = 8, 100


def _place(bodies: Musculature, frame: int) -> int:
    lines = sum(len(bodies.muscle(atlas().muscles[name], Side.RIGHT, frame)) for name in _MUSCLES)
    for nerve, muscle in _NERVES:
        bodies.nerve(atlas().nerves[nerve], atlas().muscles[muscle], Side.RIGHT, frame)
    return lines


def main() -> None:
    """Print the best of some rounds, CPU milliseconds."""
    study = truth_study("squat_side")
    bodies = Musculature(study)
    lines = _place(bodies, 0)
    rounds = []
    for _ in range(_ROUNDS):
        start = time.process_time()
        for frame in range(_FRAMES):
            _place(bodies, frame)
        rounds.append((time.process_time() - start) / _FRAMES)
    print(f"{lines} lines and {len(_NERVES)} nerves: {1000.0 * min(rounds):.2f} ms a frame")
    hamstrings, phase = atlas().collectives["hamstrings"], study.phases.rows[0]
    start = time.process_time()
    for _ in range(_FRAMES):
        length_change(study, hamstrings, Side.RIGHT, phase)
    print(f"length change of the hamstrings: {1000.0 * (time.process_time() - start) / _FRAMES:.2f} ms a phase")


if __name__ == "__main__":
    main()
