"""The bones that muscles attach to, which of them move as one, and the joints between them."""

from collections import deque
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache

from motionlabel.anatomy.terms import Articulation


class Bone(StrEnum):
    """A bone, or bones of one kind, that the columns of attachments name."""

    OCCIPITAL_BONE = "occipital bone"
    TEMPORAL_BONE = "temporal bone"
    HYOID_BONE = "hyoid bone"
    CERVICAL_VERTEBRAE = "cervical vertebrae"
    THORACIC_VERTEBRAE = "thoracic vertebrae"
    LUMBAR_VERTEBRAE = "lumbar vertebrae"
    SACRUM = "sacrum"
    COCCYX = "coccyx"
    RIBS = "ribs"
    STERNUM = "sternum"
    CLAVICLE = "clavicle"
    SCAPULA = "scapula"
    HUMERUS = "humerus"
    ULNA = "ulna"
    RADIUS = "radius"
    CARPAL_BONES = "carpal bones"
    METACARPALS = "metacarpals"
    PHALANGES_OF_HAND = "phalanges of the hand"
    ILIUM = "ilium"
    ISCHIUM = "ischium"
    PUBIS = "pubis"
    FEMUR = "femur"
    PATELLA = "patella"
    TIBIA = "tibia"
    FIBULA = "fibula"
    CALCANEUS = "calcaneus"
    NAVICULAR = "navicular"
    CUBOID = "cuboid"
    CUNEIFORMS = "cuneiforms"
    METATARSALS = "metatarsals"
    PHALANGES_OF_FOOT = "phalanges of the foot"


BONE_GROUPS: Mapping[str, tuple[Bone, ...]] = {
    "skull": (Bone.OCCIPITAL_BONE, Bone.TEMPORAL_BONE),
    "vertebrae": (Bone.CERVICAL_VERTEBRAE, Bone.THORACIC_VERTEBRAE, Bone.LUMBAR_VERTEBRAE),
    "hip bone": (Bone.ILIUM, Bone.ISCHIUM, Bone.PUBIS),
    "pelvis": (Bone.SACRUM, Bone.COCCYX, Bone.ILIUM, Bone.ISCHIUM, Bone.PUBIS),
    "tarsal bones": (Bone.CALCANEUS, Bone.NAVICULAR, Bone.CUBOID, Bone.CUNEIFORMS),
}
"""Names for several bones at once."""

LARGE_JOINTS: tuple[Articulation, ...] = (
    *(Articulation.SHOULDER, Articulation.ELBOW, Articulation.WRIST),
    *(Articulation.HIP, Articulation.KNEE, Articulation.ANKLE),
)
"""The joints that count when a muscle is called a two-joint muscle. *Source*: common practice, no source."""

# bones that move as one; the patella goes with the shank, to which its ligament ties it
_SEGMENTS: tuple[frozenset[Bone], ...] = tuple(
    frozenset(bones)
    for bones in (
        (Bone.OCCIPITAL_BONE, Bone.TEMPORAL_BONE),
        (Bone.CERVICAL_VERTEBRAE, Bone.HYOID_BONE),
        (Bone.THORACIC_VERTEBRAE, Bone.RIBS, Bone.STERNUM),
        (Bone.LUMBAR_VERTEBRAE,),
        (Bone.SACRUM, Bone.COCCYX, Bone.ILIUM, Bone.ISCHIUM, Bone.PUBIS),
        (Bone.CLAVICLE, Bone.SCAPULA),
        (Bone.HUMERUS,),
        (Bone.ULNA,),
        (Bone.RADIUS,),
        (Bone.CARPAL_BONES, Bone.METACARPALS),
        (Bone.PHALANGES_OF_HAND,),
        (Bone.FEMUR,),
        (Bone.PATELLA, Bone.TIBIA, Bone.FIBULA),
        (Bone.CALCANEUS, Bone.NAVICULAR, Bone.CUBOID, Bone.CUNEIFORMS, Bone.METATARSALS),
        (Bone.PHALANGES_OF_FOOT,),
    )
)

# neighbours, by one bone of each segment, and the joint between them
_NEIGHBOURS: tuple[tuple[Bone, Bone, Articulation], ...] = (
    (Bone.OCCIPITAL_BONE, Bone.CERVICAL_VERTEBRAE, Articulation.NECK),
    (Bone.CERVICAL_VERTEBRAE, Bone.THORACIC_VERTEBRAE, Articulation.NECK),
    (Bone.THORACIC_VERTEBRAE, Bone.LUMBAR_VERTEBRAE, Articulation.TRUNK),
    (Bone.LUMBAR_VERTEBRAE, Bone.SACRUM, Articulation.TRUNK),
    (Bone.THORACIC_VERTEBRAE, Bone.SCAPULA, Articulation.SCAPULA),
    (Bone.SCAPULA, Bone.HUMERUS, Articulation.SHOULDER),
    (Bone.HUMERUS, Bone.ULNA, Articulation.ELBOW),
    (Bone.HUMERUS, Bone.RADIUS, Articulation.ELBOW),
    (Bone.ULNA, Bone.RADIUS, Articulation.FOREARM),
    (Bone.ULNA, Bone.CARPAL_BONES, Articulation.WRIST),
    (Bone.RADIUS, Bone.CARPAL_BONES, Articulation.WRIST),
    (Bone.CARPAL_BONES, Bone.PHALANGES_OF_HAND, Articulation.FINGERS),
    (Bone.SACRUM, Bone.FEMUR, Articulation.HIP),
    (Bone.FEMUR, Bone.TIBIA, Articulation.KNEE),
    (Bone.TIBIA, Bone.CALCANEUS, Articulation.ANKLE),
    (Bone.CALCANEUS, Bone.PHALANGES_OF_FOOT, Articulation.TOES_2_5),
)


def joints_between(proximal: Iterable[Bone], distal: Iterable[Bone]) -> tuple[Articulation, ...]:
    """Return the joints that lie between any of some bones and any of some others, from head to toe.

    The joints of the digits count as one, ankle and subtalar joint as one, each region of the spine as one.

    Parameters
    ----------
    proximal, distal
        The bones of a muscle's attachments.
    """
    crossed = {joint for start in proximal for stop in distal for joint in _path(_segment(start), _segment(stop))}
    return tuple(joint for joint in dict.fromkeys(joint for _, _, joint in _NEIGHBOURS) if joint in crossed)


def _segment(bone: Bone) -> int:
    return next(i for i, segment in enumerate(_SEGMENTS) if bone in segment)


@cache
def _path(start: int, stop: int) -> tuple[Articulation, ...]:
    """Joints on the shortest way from one segment to another."""
    ways: dict[int, tuple[Articulation, ...]] = {start: ()}
    waiting = deque([start])
    while stop not in ways:
        here = waiting.popleft()
        for first, second, joint in _NEIGHBOURS:
            ends = (_segment(first), _segment(second))
            if here in ends:
                there = ends[1 - ends.index(here)]
                if there not in ways:
                    ways[there] = (*ways[here], joint)
                    waiting.append(there)
    return ways[stop]
