"""Muscles, nerves and attachments, and which muscles make which motion; every row has its source."""

from motionlabel.anatomy.atlas import Atlas, atlas, read_atlas
from motionlabel.anatomy.facts import GroupFacts, Supply, facts_of, facts_of_motion
from motionlabel.anatomy.muscle import Action, Collective, Muscle, Nerve, Source
from motionlabel.anatomy.posture import AngleRange, JointAngles
from motionlabel.anatomy.roots import Roots
from motionlabel.anatomy.terms import Articulation, Movement, Plane, Reading, Role

__all__ = [
    "Action",
    "AngleRange",
    "Articulation",
    "Atlas",
    "Collective",
    "GroupFacts",
    "JointAngles",
    "Movement",
    "Muscle",
    "Nerve",
    "Plane",
    "Reading",
    "Role",
    "Roots",
    "Source",
    "Supply",
    "atlas",
    "facts_of",
    "facts_of_motion",
    "read_atlas",
]
