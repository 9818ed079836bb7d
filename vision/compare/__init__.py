"""Same view, earlier visit: what changed between two photos, what is the same, what cannot be told.

question                                             file
light taken out of a photo                           view.py
which points both photos show                        match.py
one homography for each flat piece                   surfaces.py
the homography on all pixels                         refine.py
both equally sharp                                   even.py
which structure the earlier photo explains           structure.py
which places changed                                 changes.py
where to stand for the same view                     stand.py
the answer, and when there is none                   compare.py, result.py
side by side, one over the other                     pictures.py
files in, bytes out                                  files.py

"Same" never stands for an inspection: it speaks of what was compared, and a crack finer
than a few pixels is in no photo.
"""

from vision.compare.changes import Change
from vision.compare.compare import compare_views
from vision.compare.files import FilesCompared, compare_files
from vision.compare.pictures import Flicker, flicker, side_by_side
from vision.compare.result import Answer, Compared, to_json
from vision.compare.stand import Stand

__all__ = [
    "Answer",
    "Change",
    "Compared",
    "FilesCompared",
    "Flicker",
    "Stand",
    "compare_files",
    "compare_views",
    "flicker",
    "side_by_side",
    "to_json",
]
