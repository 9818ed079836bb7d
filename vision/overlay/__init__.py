"""Draws what was measured on a copy of the photo: for the record, and for the person who judges the edge.

The copy is one sheet: banner (value, verdict), picture with marks, scale bar and
two magnified details, notes.  Nothing but marks lies on the picture.  Sizes are
shares of the sheet's width, because the sheet is read on a phone that fits its width.

Question -> file: what is on the sheet and where `sheet`; words of the banner `banner`; of the foot
`foot`; marks on the picture `picture`, the dimension `dimension`; magnified ends
`details`; shape and word of a verdict `verdict_mark`; value against limits
`limit_scale`; which evidence is usable `marks`; strokes `strokes`; letters `lettering`; colours `palette`.
"""

from vision.overlay.sheet import MAX_SIDE_PX, annotate

__all__ = ["MAX_SIDE_PX", "annotate"]
