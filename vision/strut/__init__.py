"""The extension of an oleo strut: from the band's upper edge to the collar's lower rim."""

from vision.strut.measure import camera_knowledge, measure_strut
from vision.strut.model import StandOff

__all__ = ["StandOff", "camera_knowledge", "measure_strut"]
