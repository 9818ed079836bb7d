"""Photo bytes to upright pixels, linear light and camera facts: the only place that decodes.

Pixels are those of the upright photo, (x right, y down), centres at integers,
arrays ``image[y, x]``.  Question -> file: which kinds and limits `picture`, `limits`;
is it whole `jpeg`, `png`, `heif_boxes`; which way is up `upright`, `facts`;
focal length `focal`; level `gravity`; linear light `tone`, between the pixels `mixed`.
"""

from vision.photo.facts import PhotoFacts
from vision.photo.focal import FocalPrior
from vision.photo.limits import MAX_FILE_BYTES, MAX_PIXELS
from vision.photo.picture import CLIPPED_FROM, Photo, read_photo
from vision.photo.taken import taken_at
from vision.photo.tone import SRGB, ToneCurve

__all__ = [
    "CLIPPED_FROM",
    "MAX_FILE_BYTES",
    "MAX_PIXELS",
    "SRGB",
    "FocalPrior",
    "Photo",
    "PhotoFacts",
    "ToneCurve",
    "read_photo",
    "taken_at",
]
