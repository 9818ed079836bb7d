"""The chamfer's height, told by how far the collar's sides stand beyond its rim.

From below a chamfer may be as dark as the face behind it: the line that shows is
then its upper edge, and nothing about the rim tells so.  The collar's own
outline does, where its rim's diameter is known: a chamfer cut at 45 degrees
(common practice, no source) is as high as it is deep.

Sides flush with the rim tell nothing: there is no chamfer, or the diameter was
taken over it.  Where a chamfer shows all the same, it was.
"""

from collections.abc import Sequence

import numpy as np

from vision.camera import Camera
from vision.cylinder import Axis
from vision.cylinder.model import outline_residuals
from vision.strut.collect import Edge

ABOVE_MM = (4.5, 18.0)  # of the rim: above every chamfer, below every collar's upper edge
MIDDLE_MM, REACH_MM = 1.6, 1.8  # beyond the rim's radius: where the sides are looked for
LEAST_SHARE, MOST_SCATTER_MM = 0.5, 0.4
SIDE_SD_MM, LONE_SIDE_SD_MM = 0.2, 0.35  # one side alone also carries the axis' doubt
FLUSH_MM = 0.4  # sides that stand out less are flush
ANGLE_SD = 0.15  # of the height: chamfers are not all cut at 45 degrees


def chamfer_height(
    sides: Sequence[Edge], camera: Camera, axis: Axis, collar_mm: float
) -> tuple[float, float] | None:
    """Return height and standard uncertainty of the chamfer, mm; None where no side of the collar is clear.

    Parameters
    ----------
    sides : (left, right)
        Outlines found about the collar.
    collar_mm : float
        Radius of the rim, inside the chamfer.
    """
    k = camera.f_px / float(np.linalg.norm(axis.point))
    found = []
    for edge, side in zip(sides, (-1.0, 1.0), strict=True):
        if len(edge.points) < 3 or edge.share < LEAST_SHARE:
            continue
        beyond = outline_residuals(camera.rays(edge.points.px), axis, collar_mm, side, k) / k
        if float(np.std(beyond)) < MOST_SCATTER_MM:
            found.append(float(np.median(beyond)))
    if not found:
        return None
    height = max(float(np.mean(found)), 0.0)
    own = LONE_SIDE_SD_MM if len(found) == 1 else float(np.hypot(SIDE_SD_MM, np.ptp(found) / 2))
    return height, float(np.hypot(own, ANGLE_SD * height))
