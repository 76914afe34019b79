"""Muscles, nerves and attachments, and which muscles make which motion; every row has its source."""

from motionlabel.anatomy.atlas import Atlas, atlas, read_atlas
from motionlabel.anatomy.bones import Bone
from motionlabel.anatomy.course import Course, Level, level_named, read_course, whole_course
from motionlabel.anatomy.facts import GroupFacts, Supply, facts_of, facts_of_motion
from motionlabel.anatomy.muscle import Action, Collective, Muscle, Nerve, Source
from motionlabel.anatomy.posture import AngleRange, JointAngles
from motionlabel.anatomy.roots import Roots
from motionlabel.anatomy.terms import Articulation, Movement, Plane, Reading, Role
from motionlabel.anatomy.words import ENGLISH, Words

__all__ = [
    "ENGLISH",
    "Action",
    "AngleRange",
    "Articulation",
    "Atlas",
    "Bone",
    "Collective",
    "Course",
    "GroupFacts",
    "JointAngles",
    "Level",
    "Movement",
    "Muscle",
    "Nerve",
    "Plane",
    "Reading",
    "Role",
    "Roots",
    "Source",
    "Supply",
    "Words",
    "atlas",
    "facts_of",
    "facts_of_motion",
    "level_named",
    "read_atlas",
    "read_course",
    "whole_course",
]
