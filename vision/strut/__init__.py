"""The extension of an oleo strut: from the band's upper edge to the collar's lower rim."""

from vision.scale.told import StandOff
from vision.strut.measure import measure_strut
from vision.strut.placed import Comparison, compare, placed_length

__all__ = ["Comparison", "StandOff", "compare", "measure_strut", "placed_length"]
