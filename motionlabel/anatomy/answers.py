"""From a question to its fact sheets."""

from collections.abc import Callable, Mapping

from motionlabel.anatomy.course import Course
from motionlabel.anatomy.motion_sheet import bone_sheet, joint_sheet, matches_sheet, motion_sheet, two_joint_sheet
from motionlabel.anatomy.muscle_sheet import muscle_sheet
from motionlabel.anatomy.nerve_sheet import nerve_sheet, root_sheet, sign_sheet
from motionlabel.anatomy.sheet import Sheet
from motionlabel.anatomy.topic import Answer, Kind, Topic

_SHEETS: Mapping[Kind, Callable[[Topic, Course], Sheet]] = {
    Kind.MUSCLE: muscle_sheet,
    Kind.NERVE: nerve_sheet,
    Kind.MOTION: motion_sheet,
    Kind.JOINT: joint_sheet,
    Kind.ROOT: root_sheet,
    Kind.BONE: bone_sheet,
    Kind.SIGN: sign_sheet,
    Kind.TWO_JOINT: two_joint_sheet,
    Kind.MATCHES: matches_sheet,
}


def sheets_of(answer: Answer, course: Course) -> tuple[Sheet, ...]:
    """Return a fact sheet for each topic of an answer."""
    return tuple(_SHEETS[topic.kind](topic, course) for topic in answer.topics)
