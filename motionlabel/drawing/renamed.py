"""Muscles and nerves of a course, found again in the atlas.

A course may give names of its own; where a muscle lies is known by those of the atlas.
"""

from dataclasses import replace

from motionlabel.anatomy import Collective, Course, Muscle, Nerve, atlas


class Renamed:
    """Takes what a course names to the atlas.

    Parameters
    ----------
    course
        Names and words; the keys of its atlas are those of the whole atlas.
    """

    def __init__(self, course: Course) -> None:
        whole = atlas()
        self._muscles = {m.full_name: whole.muscles.get(key, m) for key, m in course.atlas.muscles.items()}
        self._nerves = {n.name: whole.nerves.get(key, n) for key, n in course.atlas.nerves.items()}

    def muscle(self, muscle: Muscle) -> Muscle:
        """Return a muscle as the atlas has it."""
        return self._muscles.get(muscle.full_name, muscle)

    def nerve(self, nerve: Nerve) -> Nerve:
        """Return a nerve as the atlas has it."""
        return self._nerves.get(nerve.name, nerve)

    def item(self, item: Muscle | Collective) -> Muscle | Collective:
        """Return a muscle, or a collective name with its muscles, as the atlas has them."""
        if isinstance(item, Muscle):
            return self.muscle(item)
        return replace(item, muscles=tuple(self.muscle(muscle) for muscle in item.muscles))
