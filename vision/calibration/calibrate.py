"""From several photos of one card to a calibrated camera, or a refusal."""

import datetime
import math
from collections.abc import Iterable, Sequence

import numpy as np

from vision import notes
from vision.calibration.fit import CameraFit, fit_camera
from vision.calibration.views import Bars, find_view, print_stretch_u, view_of
from vision.camera_file import CameraFile
from vision.card import Card
from vision.errors import CameraError, CardError
from vision.photo import Photo, PhotoFacts
from vision.results import Refusal
from vision.scale import CardFix
from vision.scale.told import BAR_U_MM

NAME = "calibration"
FEWEST_VIEWS = 5
# A phone's file tells f to 3 %: less than a threefold gain is not worth a calibration.
WORST_F_SHARE = 0.01
# Of the long side: 0.9 px of 4032, several times what one lens and one flat card leave.
WORST_RMS_SHARE = 0.9 / 4032
CONTRADICTION = 3.0
PRINT_SIGMAS = 3.3  # 1 in 1000: bars misread, exchanged, or of another copy
# A focused lens moves out by f/distance: between 0.5 m and 1 m 0.5 % for a phone.  A strut may be
# farther away than the card was.  Half of it, as a standard uncertainty, judged.
FOCUS_SHARE = 0.0025


def calibrate(
    photos: Iterable[Photo],
    cards: Sequence[Card],
    *,
    date: datetime.date | None = None,
    check_bar_mm: Bars | None = None,
    check_bar_u_mm: float = BAR_U_MM,
) -> CameraFile | Refusal:
    """Calibrate the camera that took these photos.

    Parameters
    ----------
    photos : iterable of Photo
        Of one card, by one camera at one zoom, the camera always held the same way,
        the card turned and tilted differently in each.  Taken one by one, none is kept.
    cards : sequence of Card
        Cards that may be in view; the one seen in most photos is used.
    date : datetime.date, optional
        Day of the calibration; by default the latest of the photos, today where none tells.
    check_bar_mm : (along, across), optional
        Measured lengths of the card copy's check bars.  Only their ratio matters here.
    check_bar_u_mm : float, > 0
        Standard uncertainty of each.

    Returns
    -------
    CameraFile or Refusal
        The doubt of the focal length holds the fit's and that of focusing farther away.
        Refused, with a remedy, where too few photos show the card, all look alike,
        or one simple lens does not explain them.

    Raises
    ------
    vision.errors.CameraError
        The photos are not of one camera, one size and one zoom.
    vision.errors.CardError
        The check bars are not those of the card in the photos.
    """
    facts: list[PhotoFacts] = []
    found: list[CardFix | Refusal] = []
    for photo in photos:
        facts.append(photo.facts)
        _check_one_camera(facts)
        found.append(find_view(photo, cards))
    fixes = [fix for fix in found if isinstance(fix, CardFix)]
    names = [fix.card.name for fix in fixes]
    most = max(names, key=names.count, default="")
    fixes = [fix for fix in fixes if fix.card.name == most]
    if len(fixes) < FEWEST_VIEWS:
        return Refusal(NAME, notes.VIEWS_TOO_FEW, _why_few(found, len(fixes)))
    card = fixes[0].card
    _check_bars(card, check_bar_mm)
    size = facts[0].width_px, facts[0].height_px
    views = [view_of(fix, check_bar_mm) for fix in fixes]
    ratio_u = print_stretch_u(card, check_bar_mm, check_bar_u_mm)
    try:
        # A file without a focal length has a guess of 27 mm; the start needs no better.
        fit = fit_camera(views, size, facts[0].focal.f_px, ratio_u)
    except np.linalg.LinAlgError:
        return Refusal(NAME, notes.VIEWS_TOO_ALIKE)
    refusal = _contradiction(fit, max(size))
    return _camera_file(facts[0], fit, date or _latest(facts)) if refusal is None else refusal


def _check_one_camera(facts: Sequence[PhotoFacts]) -> None:
    """Hold the last photo against the first."""
    first, last = facts[0], facts[-1]
    for what, own, other in (
        ("make", first.make, last.make),
        ("model", first.model, last.model),
        ("size in px", (first.width_px, first.height_px), (last.width_px, last.height_px)),
        ("way the camera was held (EXIF orientation)", first.orientation, last.orientation),
        ("focal length in mm, 35 mm equivalent", first.focal_35mm, last.focal_35mm),
        ("digital zoom", first.digital_zoom, last.digital_zoom),
    ):
        if own != other:
            msg = (
                f"photo {len(facts)} has another {what} than photo 1 ({other!r}, not {own!r}): "
                "give original photos of one camera at one zoom, always held the same way"
            )
            raise CameraError(msg)


def _latest(facts: Sequence[PhotoFacts]) -> datetime.date:
    days = [fact.taken_at.date() for fact in facts if fact.taken_at is not None]
    return max(days, default=datetime.datetime.now().astimezone().date())


def _check_bars(card: Card, bars: Bars | None) -> None:
    if bars is None or card.check_bars_mm is None:
        return
    for told, printed in zip(bars, card.check_bars_mm, strict=True):
        if abs(told / printed - 1) > 0.05:
            msg = (
                f"The check bar measured as {told:g} mm is not the {printed:g} mm bar of the card in the "
                f'photos ("{card.name}"); give the lengths measured on this card, in mm, the long bar first.'
            )
            raise CardError(msg)


def _why_few(found: Sequence[CardFix | Refusal], used: int) -> str:
    refused = [(k, fix) for k, fix in enumerate(found, start=1) if isinstance(fix, Refusal)]
    text = f"{used} of {len(found)} can be used, {FEWEST_VIEWS} are needed"
    return text + "".join(f"; photo {k}: {fix.reason.rstrip('.')}" for k, fix in refused[:3])


def _contradiction(fit: CameraFit, long_side: int) -> Refusal | None:
    share = fit.f_u_px / fit.camera.f_px
    vague = not share <= WORST_F_SHARE
    known = "not told" if not share < 1 else f"known to {share:.1%} only"
    # Views that contradict each other leave f in doubt too, but more of them would not help.
    if not fit.rms_px <= WORST_RMS_SHARE * long_side or (vague and fit.f_disagreement > CONTRADICTION):
        left = f"{fit.rms_px:.2f} px left on average, the focal length is {known}"
        return Refusal(NAME, notes.LENS_NOT_FITTED, left)
    if vague:
        tilts = f"tilts of {min(fit.tilts_deg):.0f}° to {max(fit.tilts_deg):.0f}°"
        return Refusal(NAME, notes.VIEWS_TOO_ALIKE, f"{tilts}: the focal length is {known}")
    if abs(fit.print_sigmas) > PRINT_SIGMAS:
        return Refusal(
            NAME,
            notes.CARD_BENT,
            f"its height over its width is {fit.print_ratio - 1:+.1%} off what was told",
        )
    return None


def _camera_file(facts: PhotoFacts, fit: CameraFit, date: datetime.date) -> CameraFile:
    return CameraFile(
        make=facts.make,
        model=facts.model,
        width_px=facts.width_px,
        height_px=facts.height_px,
        f_px=fit.camera.f_px,
        f_u_px=math.hypot(fit.f_u_px, FOCUS_SHARE * fit.camera.f_px),
        cx_px=fit.camera.cx_px,
        cy_px=fit.camera.cy_px,
        k1=fit.camera.k1,
        k1_u=fit.k1_u,
        gravity_offset_deg=None,
        date=date,
        rms_px=fit.rms_px,
    )
