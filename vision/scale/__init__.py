"""The scale card found in a photo: where it lies, how far its millimetres can be trusted."""

from vision.scale.camera import camera_knowledge
from vision.scale.fix import CardFix, find_card
from vision.scale.model import CameraKnowledge, CardKnowledge

__all__ = ["CameraKnowledge", "CardFix", "CardKnowledge", "camera_knowledge", "find_card"]
