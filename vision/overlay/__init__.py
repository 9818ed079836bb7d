"""Draws what was measured on a copy of the photo: for the record, and for the person who judges the edge.

The copy is one sheet: banner (value, verdict), picture with marks, scale bar, magnified
details, remarks.  Nothing but marks lies on the picture.  Sizes are shares of the
sheet's width, because the sheet is read on a phone that shows its whole width.

Question -> file: how the sheet is put together and written `sheet`; words of the banner
`banner`, of the foot `foot`; which part of the photo is shown `view`, and where a photo px
lies on it `window`; marks on the picture `picture`, the dimension `dimension`; magnified ends
and the map `details`; shape and word of a verdict `verdict_mark`; value against limits
`limit_scale`; which evidence is usable `marks`; strips, strokes, letters, colours `strip`,
`strokes`, `lettering`, `palette`.  A tire's sheet `tire`, its rows `tire_rows`, marks `tire_marks`,
details `tire_details`.  The bare photo in pieces, for a person to place points on:
`tiles`; photos kept decoded `upright`.  One place on a searched hose, in the photo and laid straight
`hose_place`; a whole hose with what was not searched `hose_length`.  A whole photo with what a search
found on its hoses `hose`, on a surface `surface`.
"""

from vision.overlay.hose import annotate_hoses
from vision.overlay.sheet import MAX_SIDE_PX, annotate
from vision.overlay.surface import annotate_surface
from vision.overlay.tire import annotate_tire

__all__ = ["MAX_SIDE_PX", "annotate", "annotate_hoses", "annotate_surface", "annotate_tire"]
