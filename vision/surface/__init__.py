"""Painted and bare surfaces searched for rub marks that a person should look at.

A surface is held against its own texture in this very photo: what is steady in its light, colour and fine
structure is taken away, and what then stands out is told.  It only flags; "no flag" says nothing of wear, and
pits or flaking of chrome are looked for by hand and eye.  Measured on composited photos only.

question                                             file
which piece of the photo a person showed             region.py
its light, colour and fine texture                   looked.py
what is the surface's own                            own.py
seams and labels on it                               things.py
how much a place stands out, in all sizes            contrast.py
which places do                                      places.py
what is no wear by its form                          aside.py
what stands out, in words                            why.py
what was seen at all                                 coverage.py
a second photo: what stays, what slides              pair.py
the answer                                           search.py, result.py
"""

from vision.surface.result import KINDS, Coverage, Flag, Searched, to_json
from vision.surface.search import search_surface

__all__ = ["KINDS", "Coverage", "Flag", "Searched", "search_surface", "to_json"]
