"""Where on the photo a strut was read, as plain JSON values."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.cylinder import elevation_deg, ring
from vision.fit import Prior
from vision.leg import StrutData
from vision.scale import CardFix
from vision.strut.collect import outline_course
from vision.strut.geometry import geometry_of
from vision.strut.locate import StrutFit
from vision.strut.model import J

Array = NDArray[np.float64]


def _plain(points: Array) -> Any:
    return np.round(points, 2).tolist()


def card_evidence(fix: CardFix) -> dict[str, Any]:
    """What the card alone tells."""
    return {
        "card": fix.card.name,
        "card_copy": fix.sighting.copy_number,
        "card_px": _plain(fix.outline_px),
        "card_tilt_deg": round(fix.tilt_deg, 2),
        "card_residual_px": round(fix.residual_px, 3),
        "blur_px": round(fix.blur_px, 2),
        "focal_source": fix.camera.source,
        "leg_tags": list(fix.sighting.leg_tags),
    }


def end_points(fit: StrutFit) -> tuple[Array, Array]:
    """Return the front points (2,) px of the band's edge and of the collar's rim."""
    theta = fit.solution.theta
    ends = [
        ring(fit.axis, float(theta[place]), float(theta[radius]), np.zeros(1))
        for place, radius in ((J.FROM, J.PISTON), (J.TO, J.COLLAR))
    ]
    px = fit.camera.project(np.concatenate(ends))
    return px[0], px[1]


def px_per_mm(fit: StrutFit) -> float:
    """Scale on the piston's front line at mid-span, along the axis."""
    theta = fit.solution.theta
    middle = float(theta[J.FROM] + theta[J.TO]) / 2
    points = [ring(fit.axis, middle + d, float(theta[J.PISTON]), np.zeros(1)) for d in (-1.0, 1.0)]
    px = fit.camera.project(np.concatenate(points))
    return float(np.linalg.norm(px[1] - px[0]) / 2)


def second_scale_ratio(fit: StrutFit, piston: Prior) -> float | None:
    """mm/px by the piston's diameter ÷ mm/px by card and everything else; None where nothing else tells."""
    value, sd = fit.solution.without(piston)
    return None if np.isinf(sd) or sd > 0.2 * value else float(piston.mean / value)


def strut_evidence(fix: CardFix, fit: StrutFit) -> dict[str, Any]:
    """The contract's evidence, and the courses that an overlay draws."""
    theta = fit.solution.theta
    start, end = end_points(fit)
    azimuth = np.radians(np.linspace(-75, 75, 25))
    rings = [
        fit.camera.project(ring(fit.axis, float(theta[place]), float(theta[radius]), azimuth))
        for place, radius in ((J.FROM, J.PISTON), (J.TO, J.COLLAR))
    ]
    middle = np.stack([fit.axis.at(float(theta[J.FROM])), fit.axis.at(float(theta[J.TO]))])
    span = np.array([float(theta[J.FROM]), float(theta[J.TO])])
    outlines = [
        outline_course(fit.camera, fit.axis, float(theta[J.PISTON]), side, span)[0] for side in (-1.0, 1.0)
    ]
    piston = next(p for p in fit.priors if p.index == J.PISTON)
    ratio = second_scale_ratio(fit, piston)
    return card_evidence(fix) | {
        "from_px": _plain(start),
        "to_px": _plain(end),
        "axis_px": _plain(fit.camera.project(middle)),
        "from_ring_px": _plain(rings[0]),
        "to_ring_px": _plain(rings[1]),
        "outline_px": [_plain(line) for line in outlines],
        "elevation_deg": round(elevation_deg(fit.axis, float(theta[J.TO])), 3),
        "px_per_mm": round(px_per_mm(fit), 4),
        "second_scale_ratio": None if ratio is None else round(ratio, 5),
        "stand_off_mm": round(fit.model.stand_off_of(theta), 2),
        "card_lean_deg": round(float(np.degrees(fit.model.lean_of(theta))), 2),
        "chamfer_mm": None if fit.seen.rim is None else fit.seen.rim.chamfer_mm,
    }


def geometry_evidence(
    fit: StrutFit, strut: StrutData, own_u_mm: float, scale_excess: float
) -> dict[str, Any]:
    """What `vision.strut.placed` needs to convert a person's marks; a reading's evidence has it, a refusal's not."""
    recess = strut.collar_recess_mm, strut.collar_recess_u_mm
    return {"geometry": geometry_of(fit, *recess, own_u_mm, scale_excess).to_json()}
