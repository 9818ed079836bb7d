"""One photo, one strut: the extension as a Reading, or a Refusal."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision import notes, quality
from vision.camera_file import CameraFile
from vision.card import Card
from vision.leg import Leg, StrutData
from vision.notes import Note
from vision.photo import Photo
from vision.results import COVERAGE_FACTOR, BudgetLine, Reading, Refusal, Result, Verdict
from vision.scale import CardFix, CardKnowledge, camera_knowledge, find_card
from vision.scale.markers import find_markers
from vision.scale.told import BAR_U_MM, StandOff, print_knowledge
from vision.strut.band import RedAreas, find_bands, guess_axis
from vision.strut.checks import check, check_u, disagreement, misled_mm
from vision.strut.evidence import card_evidence, geometry_evidence, px_per_mm, strut_evidence
from vision.strut.locate import LONGEST_MM, NAME, Setting, StrutFit, locate
from vision.strut.window import cut_window
from vision.verdict import judge

Array = NDArray[np.float64]

LOST_TO_GLARE = (notes.BAND_HIDDEN, notes.COLLAR_HIDDEN, notes.OUTLINE_LOST)
NOT_BY_PHOTO = ("face", "pin_centre", "block")


def measure_strut(
    photo: Photo,
    leg: Leg,
    cards: Sequence[Card],
    *,
    camera: CameraFile | None = None,
    check_bar_mm: tuple[float, float | None] | None = None,
    check_bar_u_mm: float | None = None,
    stand_off: StandOff | None = None,
    pressure_kpa: float | None = None,
    pressure_u_kpa: float | None = None,
) -> Result:
    """Measure the extension of one strut on one photo.

    Parameters
    ----------
    photo : Photo
    leg : Leg
        With complete strut data.
    cards : sequence of Card
        Cards that may hang in view, with disjoint marker ids.
    camera : CameraFile, optional
        Calibration as it lies in this photo (`CameraFile.check_fits`).
    check_bar_mm : (along, across or None), optional
        Measured lengths of the card copy's check bars.
    check_bar_u_mm : float, optional
        Standard uncertainty of those, 0.15 mm by default.
    stand_off : StandOff, optional
        When the card's distance behind the piston's front line is known.
    pressure_kpa, pressure_u_kpa : float, optional
        For a plate that states a chart.

    Returns
    -------
    Reading or Refusal
        Named ``strut_extension``, value in mm.

    Raises
    ------
    vision.errors.LegError
        When the leg's strut data are incomplete.
    vision.errors.CardError
        When the check bars are not those of the card in the photo.
    """
    strut = leg.require_strut()
    refusal = _measurable(strut)
    if refusal is not None:
        return refusal
    if max(photo.pixels.shape[:2]) < quality.SMALLEST_LONG_SIDE:
        height, width = photo.pixels.shape[:2]
        return Refusal(NAME, notes.TOO_SMALL, f"{width} × {height} px")
    sighting = find_markers(photo)
    if leg.leg_tag is not None and sighting.leg_tags and leg.leg_tag not in sighting.leg_tags:
        seen = ", ".join(map(str, sighting.leg_tags))
        return Refusal(NAME, notes.WRONG_LEG, f"tag {seen}, this leg has {leg.leg_tag}")

    def knowledge(card: Card) -> CardKnowledge:
        return print_knowledge(card, check_bar_mm, check_bar_u_mm or BAR_U_MM)

    fix = find_card(photo, cards, camera_knowledge(photo, camera), knowledge, sighting)
    if isinstance(fix, Refusal):
        return _rather_blurred(photo, replace(fix, name=NAME))
    if fix.blur_px > quality.BLUR_REFUSED_PX:
        return Refusal(NAME, notes.BLURRED, f"edges {fix.blur_px:.1f} px soft", card_evidence(fix))
    found = _fit(photo, fix, strut, stand_off)
    if isinstance(found, Refusal):
        return replace(found, evidence=card_evidence(fix) | dict(found.evidence))
    contradiction = check(fix, found, stand_off)
    if contradiction is not None:
        return replace(contradiction, evidence=strut_evidence(fix, found))
    return _reading(leg, strut, fix, found, stand_off, (pressure_kpa, pressure_u_kpa))


def _measurable(strut: StrutData) -> Refusal | None:
    if strut.form != "telescopic":
        return Refusal(NAME, notes.FORM_NOT_MEASURED, f'form = "{strut.form}"')
    for datum in (strut.measured_from, strut.measured_to):
        if datum in NOT_BY_PHOTO:
            return Refusal(NAME, notes.DATUM_NOT_MEASURED, f'"{datum}"')
    return None


def _rather_blurred(photo: Photo, refusal: Refusal) -> Refusal:
    """A card that was not found in a photo without one sharp edge is a matter of blur."""
    if refusal.remedy not in (notes.NO_CARD, notes.CARD_PARTLY_SEEN):
        return refusal
    spread = quality.edge_spread_px(photo)
    if spread > quality.BLUR_WITHOUT_CARD_PX:
        size = "" if np.isinf(spread) else f"edges about {spread:.0f} px soft"
        return Refusal(NAME, notes.BLURRED, size)
    return refusal


def _fit(photo: Photo, fix: CardFix, strut: StrutData, told: StandOff | None) -> StrutFit | Refusal:
    areas = find_bands(photo, fix, strut.piston_diameter_mm)
    if len(areas.bands) != 1:
        return _no_band(photo, fix, strut, areas)
    axis = guess_axis(fix, areas.bands[0], strut.piston_diameter_mm / 2)
    camera = fix.model.camera_of(fix.solution.theta)
    half = 0.85 * strut.collar_diameter_mm
    corners = np.array(
        [
            axis.point + x * axis.lateral + s * axis.direction
            for x in (-half, half)
            for s in (-50.0, LONGEST_MM + 10)
        ]
    )
    window = cut_window(photo, fix, camera.project(corners))
    if window is None:
        return Refusal(NAME, notes.NO_BAND)
    setting = Setting(fix, window, strut, told, fix.blur_px)
    found = locate(setting, axis)
    if isinstance(found, Refusal) and found.remedy in LOST_TO_GLARE:
        reach = np.array([axis.point + s * axis.direction for s in (-20.0, 20.0)])
        burnt = quality.burnt_share(photo, camera.project(reach), half * fix.px_per_mm)
        if burnt > quality.GLARE_SHARE:
            return Refusal(NAME, notes.GLARED, f"{burnt:.0%} burnt out about the band")
    return found


def _no_band(photo: Photo, fix: CardFix, strut: StrutData, areas: RedAreas) -> Refusal:
    if len(areas.bands) > 1:
        return Refusal(NAME, notes.TWO_BANDS, f"{len(areas.bands)} red areas as wide as the piston")
    d = strut.piston_diameter_mm
    alike = [w for w in areas.other_widths_mm if 0.4 * d < w < 2.5 * d]
    outline = fix.outline_px
    burnt = quality.burnt_share(photo, outline, float(np.ptp(outline, axis=0).max()) * 0.4)
    if burnt > quality.GLARE_SHARE:
        return Refusal(NAME, notes.GLARED, f"{burnt:.0%} burnt out about the card")
    if alike:
        return Refusal(
            NAME,
            notes.RINGS_DISAGREE,
            f"a red band about {alike[0]:.0f} mm wide was found, the piston's diameter is given as {d:.0f} mm",
        )
    return Refusal(NAME, notes.NO_BAND)


def _reading(
    leg: Leg,
    strut: StrutData,
    fix: CardFix,
    fit: StrutFit,
    told: StandOff | None,
    pressure: tuple[float | None, float | None],
) -> Result:
    k = px_per_mm(fit)
    variances = fit.solution.variance_by_source(fit.gradient())
    if fit.seen.rim is not None:
        variances["collar chamfer"] = (fit.seen.rim.offset_u_px / k) ** 2
    if strut.collar_recess_u_mm:
        variances["collar recess"] = strut.collar_recess_u_mm**2
    # Birge's ratio with one degree of freedom: where the scales agree only so far, U says so.  And any
    # one of them may be the one that is wrong: the value that the others give must lie within U too.
    apart, known = max(disagreement(fit), 1.0), sum(variances.values())
    doubted = (apart**2 - 1) * known + (1 - 1 / apart**2) * misled_mm(fit) ** 2
    variances["disagreement of the scales"] = doubted
    budget = tuple(
        BudgetLine(source, float(np.sqrt(v)))
        for source, v in sorted(variances.items(), key=lambda pair: -pair[1])
        if v > 1e-8
    )
    expanded = COVERAGE_FACTOR * float(np.sqrt(sum(variances.values())))
    refusal = check_u(expanded)
    evidence: dict[str, Any] = strut_evidence(fix, fit)
    if refusal is not None:
        return replace(refusal, evidence=evidence)
    evidence |= geometry_evidence(fit, strut, variances.get("collar chamfer", 0.0) ** 0.5, doubted / known)
    value = fit.length_mm + strut.collar_recess_mm
    limits = strut.limits(*pressure)
    guard = float(np.hypot(expanded, COVERAGE_FACTOR * limits.u_mm))
    verdict = judge(value, guard, limits.limits) if limits.limits else Verdict.UNDECIDED
    return Reading(
        NAME,
        value,
        "mm",
        expanded,
        budget,
        evidence,
        (*_remarks(fix, fit, told), *limits.notes),
        limits.limits,
        verdict,
    )


def _remarks(fix: CardFix, fit: StrutFit, told: StandOff | None) -> tuple[Note, ...]:
    found = [notes.EXTENSION_ONLY, notes.RESTING_STATE]
    if fix.camera.source.startswith("no focal"):
        found.append(notes.FOCAL_UNKNOWN)
    elif not fix.camera.source.startswith("calibration"):
        found.append(notes.FOCAL_NOT_CALIBRATED)
    if not fix.knowledge.measured:
        found.append(notes.CARD_UNMEASURED)
    if told is None:
        found.append(notes.STANDOFF_UNKNOWN)
    if min(edge.share for edge in fit.seen.limbs) < 0.6:
        found.append(notes.LIMBS_FAINT)
    if px_per_mm(fit) < quality.FEW_PX_PER_MM:
        found.append(notes.FEW_PIXELS)
    if fix.blur_px > quality.BLUR_NOTE_PX:
        found.append(notes.SOFT)
    if fix.wedge.clipped_share > 0.01:
        found.append(notes.GLARE)
    if fit.seen.band_edge.share < 0.8:
        found.append(notes.BAND_PARTLY_HIDDEN)
    if fit.seen.rim is not None and fit.seen.rim.edge.share < 0.75:
        found.append(notes.RIM_PARTLY_HIDDEN)
    if fix.card.copy_tag is not None and fix.sighting.copy_number is None:
        found.append(notes.CARD_DIFFERS)
    return tuple(found)
