"""Measurements on photos: bytes and leg data in, a `Reading` or a `Refusal` out.

`vision` knows nothing of people, screens or databases and never imports `app`.

Conventions, everywhere below
-----------------------------
Pixels : (x right, y down) of the *upright* photo, the centre of the top left pixel at
    (0, 0); areas reach from -0.5.  Arrays are ``image[y, x]``, so indices reverse (x, y).
    Pillow and drawing tools put 0 at a pixel's corner: add or take 0.5 there.
Camera frame : x right, y down, z away from the camera, origin at the centre of projection, mm.
Card frame : origin top left, x right, y down, on the printed face, mm.
Axis : the direction of a strut's axis points up in the photo; axial places s are mm along it.
Units : mm and degrees between functions; radians only inside one.  Inches, fractions, psi
    and bar exist only in `vision.units` and at its callers on the edge.
Angles : positive counter-clockwise as seen in the upright photo.
Light : edges are found in linear light, 0 to 1 (`Photo.linear`), never in gamma-coded samples.
Uncertainty : standard (one sigma) unless a name says *expanded* (95 %).
"""
