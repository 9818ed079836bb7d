"""The scale card found in a photo: where it lies, how far its millimetres can be trusted."""

from vision.scale.camera import camera_knowledge
from vision.scale.fix import CardFix, find_card
from vision.scale.model import CameraKnowledge, CardKnowledge
from vision.scale.other_leg import other_leg
from vision.scale.plane import CardPlane, card_plane

__all__ = [
    "CameraKnowledge",
    "CardFix",
    "CardKnowledge",
    "CardPlane",
    "camera_knowledge",
    "card_plane",
    "find_card",
    "other_leg",
]
