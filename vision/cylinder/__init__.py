"""A cylinder of known diameter seen by one camera: its axis, its rings, lengths along it."""

from vision.cylinder.geometry import Axis, axial_place, elevation_deg, ring, signed_offset
from vision.cylinder.length import CylinderLength, length_along

__all__ = [
    "Axis",
    "CylinderLength",
    "axial_place",
    "elevation_deg",
    "length_along",
    "ring",
    "signed_offset",
]
