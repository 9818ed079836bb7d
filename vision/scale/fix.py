"""From a photo to a `CardFix`: which card, where, how sharp, how flat, how well known."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.card import Card
from vision.fit import Observations, Solution, solve
from vision.photo import Photo
from vision.results import Refusal
from vision.scale.features import Found, apply_homography, refine_corners, refine_dots, refine_saddles
from vision.scale.markers import Sighting, find_markers
from vision.scale.model import (
    SIZE,
    STEPS,
    CameraKnowledge,
    CardKnowledge,
    CardModel,
    P,
    camera_priors,
    card_priors,
    pose_from_homography,
)
from vision.scale.tone import Wedge, read_wedge

Array = NDArray[np.float64]
NAME = "scale_card"
MODEL_SD_PX = 0.03  # what printing, paper and demosaicing leave at a saddle, on top of noise
MIN_FEATURES = 12
MIN_SHARE = 0.5
MAX_TILT_DEG = 35.0
MIN_BEND_RADIUS_MM = 1500.0
MAX_RESIDUAL_PX = 0.5


@dataclass(frozen=True)
class CardFix:
    """A card found in a photo.

    Attributes
    ----------
    card : Card
    homography : (3, 3) array
        Card mm → px, for searching; measuring goes through `model`.
    px, xy_mm, sigma_px : (N, 2), (N, 2), (N,) arrays
        The features that measure.
    model, solution
        Pose, camera and print, fitted to the features alone.
    knowledge : CardKnowledge
    camera : CameraKnowledge
    sighting : Sighting
        All markers in view, leg tags among them.
    wedge : Wedge
    blur_px, px_per_mm, tilt_deg, residual_px, seen_share : float
        Edge-spread sigma; scale at the card's middle; angle between the card's
        normal and the line of sight; rms of the residuals; share of features seen.
    """

    card: Card
    homography: Array
    px: Array
    xy_mm: Array
    sigma_px: Array
    model: CardModel
    solution: Solution
    knowledge: CardKnowledge
    camera: CameraKnowledge
    sighting: Sighting
    wedge: Wedge
    blur_px: float
    px_per_mm: float
    tilt_deg: float
    residual_px: float
    seen_share: float

    @property
    def outline_px(self) -> Array:
        """The card's four corners (4, 2) in px, clockwise from top left."""
        w, h = self.card.width_mm, self.card.height_mm
        return self.model.project(self.solution.theta, np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]))

    def observations(self) -> Observations:
        """Return the card's features as observations for a joint fit."""

        return feature_observations(self.model, self.xy_mm, self.px, self.sigma_px)


def feature_observations(model: CardModel, xy_mm: Array, px: Array, sigma_px: Array) -> Observations:
    """The card's features at (N, 2) mm, seen at (N, 2) px with (N,) px standard uncertainty."""

    def residuals(theta: Array) -> Array:
        return ((model.project(theta, xy_mm) - px) / sigma_px[:, None]).ravel()

    def linear(theta: Array) -> tuple[Array, Array]:
        seen, jac = model.project_linear(theta, xy_mm)
        off = (seen - px) / sigma_px[:, None]
        return off.ravel(), (jac / sigma_px[:, None, None]).reshape(-1, SIZE)

    return Observations("card features", residuals, range(SIZE), linear=linear)


def find_card(
    photo: Photo,
    cards: Sequence[Card],
    camera: CameraKnowledge,
    knowledge_of: Callable[[Card], CardKnowledge],
    sighting: Sighting | None = None,
) -> CardFix | Refusal:
    """Find the best-seen of the given cards and fit it.

    Parameters
    ----------
    cards : sequence of Card
        With disjoint marker ids.
    camera
        What is known beforehand of the camera.
    knowledge_of : callable
        What is known of the print of the card that is found.
    sighting : Sighting, optional
        Markers already found.
    """
    sighting = sighting or find_markers(photo)
    seen = [(sighting.of_card(card), card) for card in cards]
    corners, card = max(seen, key=lambda pair: len(pair[0]) / max(len(pair[1].markers), 1))
    if not corners:
        return Refusal(NAME, notes.NO_CARD)
    knowledge = knowledge_of(card)
    h = _marker_homography(card, corners)
    for _ in range(2):  # the second time from the refined homography: few markers may have told it badly
        wedge = read_wedge(photo, card, h)
        found, xy_mm = _refine(photo, card, h, wedge)
        good = _consistent(found, xy_mm)
        if good.sum() < MIN_FEATURES:
            return Refusal(NAME, notes.CARD_PARTLY_SEEN, f"{int(good.sum())} of {len(xy_mm)} features clear")
        h = _homography(xy_mm[good], found.px[good])
    share = float(good.mean())
    sigma = np.hypot(found.sigma[good], MODEL_SD_PX)
    start = Camera(camera.f_px, camera.cx_px, camera.cy_px)
    rotation, translation = pose_from_homography(start, _shifted(h, card))
    centre = np.array([card.width_mm, card.height_mm]) / 2
    model = CardModel(start, rotation, translation, centre)
    px, mm = found.px[good], xy_mm[good]
    theta0 = np.zeros(SIZE)
    theta0[[P.PRINT_X, P.PRINT_Y]] = knowledge.scale_x, knowledge.scale_y
    theta0[P.K1] = camera.k1
    try:
        solution = solve(
            theta0,
            STEPS,
            [feature_observations(model, mm, px, sigma)],
            camera_priors(camera) + card_priors(knowledge),
        )
    except np.linalg.LinAlgError:
        left = float(np.sqrt(np.mean((apply_homography(h, mm) - px) ** 2)))
        if left > MAX_RESIDUAL_PX:
            return Refusal(NAME, notes.CARD_BENT, f"{left:.1f} px left by the best plane")
        return Refusal(NAME, notes.CARD_PARTLY_SEEN, "its pose cannot be told")
    raw = solution.residuals["card features"].reshape(-1, 2) * sigma[:, None]
    blur = found.blur[good]
    fix = CardFix(
        card=card,
        homography=h,
        px=px,
        xy_mm=mm,
        sigma_px=sigma,
        model=model,
        solution=solution,
        knowledge=knowledge,
        camera=camera,
        sighting=sighting,
        wedge=wedge,
        blur_px=float(np.nanmedian(blur)) if np.isfinite(blur).any() else 1.0,
        px_per_mm=_px_per_mm(h, centre),
        tilt_deg=_tilt(model, solution.theta),
        residual_px=float(np.sqrt(np.mean(raw**2))),
        seen_share=share,
    )
    refusal = _gate(fix)
    return fix if refusal is None else refusal


def _gate(fix: CardFix) -> Refusal | None:
    bend = abs(float(fix.solution.theta[P.BEND]))
    sd = float(np.sqrt(fix.solution.covariance[P.BEND, P.BEND]))
    if bend - 2 * sd > 1 / MIN_BEND_RADIUS_MM:
        return Refusal(NAME, notes.CARD_BENT, f"radius about {1e-3 / bend:.1f} m")
    if fix.residual_px > MAX_RESIDUAL_PX + 0.2 * max(fix.blur_px - 1, 0):
        return Refusal(NAME, notes.CARD_BENT, f"{fix.residual_px:.1f} px left after the best fit")
    if fix.tilt_deg > MAX_TILT_DEG:
        return Refusal(NAME, notes.TOO_OBLIQUE, f"{fix.tilt_deg:.0f}° off square")
    if fix.seen_share < MIN_SHARE:
        return Refusal(NAME, notes.CARD_PARTLY_SEEN, f"{fix.seen_share:.0%} of its features clear")
    return None


def _marker_homography(card: Card, corners: dict[int, Array]) -> Array:
    by_id = {marker.id: marker.corners_mm for marker in card.markers}
    mm = np.concatenate([by_id[i] for i in corners])
    px = np.concatenate(list(corners.values()))
    h, _ = cv2.findHomography(mm, px, cv2.RANSAC if len(mm) > 4 else 0, 4.0)
    return np.asarray(h, float)


def _homography(mm: Array, px: Array) -> Array:
    h, _ = cv2.findHomography(mm, px, 0)
    return np.asarray(h, float)


def _shifted(h: Array, card: Card) -> Array:
    """The homography from the card's middle, where the model has its origin."""
    move = np.eye(3)
    move[:2, 2] = card.width_mm / 2, card.height_mm / 2
    return np.asarray(h @ move)


def _window(photo: Photo, card: Card, h: Array, tone: Wedge) -> tuple[NDArray[np.float32], Array]:
    """Return the card's part of the photo as one linear channel (h, w), and its corner (2,)."""
    w, height = card.width_mm, card.height_mm
    px = apply_homography(h, np.array([[-3, -3], [w + 3, -3], [w + 3, height + 3], [-3, height + 3.0]]))
    limit = np.array(photo.pixels.shape[1::-1])
    low = np.clip(np.floor(px.min(axis=0)).astype(int), 0, limit)
    high = np.clip(np.ceil(px.max(axis=0)).astype(int) + 1, 0, limit)
    patch = photo.linear(int(low[0]), int(low[1]), int(high[0]), int(high[1]), tone.tone)
    return np.asarray(cv2.transform(patch, np.full((1, 3), 1 / 3)), np.float32), low.astype(float)


def _refine(photo: Photo, card: Card, h: Array, wedge: Wedge) -> tuple[Found, Array]:
    image, corner = _window(photo, card, h, wedge)
    move = np.eye(3)
    move[:2, 2] = -corner
    local = move @ h
    parts: list[Found] = []
    places: list[Array] = []
    for checker in card.checkers:
        mm = np.asarray(checker.saddles_mm(), float)
        parts.append(refine_saddles(image, local, mm, checker.square_mm))
        places.append(mm)
    if card.dots:
        mm = np.array([dot.xy_mm for dot in card.dots], float)
        sizes = np.array([dot.diameter_mm for dot in card.dots], float)
        parts.append(refine_dots(image, local, mm, sizes))
        places.append(mm)
    if not parts:
        for marker in card.markers:
            side = float(np.linalg.norm(marker.corners_mm[1] - marker.corners_mm[0]))
            mm = np.asarray(marker.corners_mm, float)
            parts.append(refine_corners(image[:, :, None], local, mm, side / 8))
            places.append(mm)
    joined = Found(
        np.concatenate([f.px for f in parts]) + corner,
        np.concatenate([f.sigma for f in parts]),
        np.concatenate([f.blur for f in parts]),
        np.concatenate([f.contrast for f in parts]),
        np.concatenate([f.good for f in parts]),
    )
    return joined, np.concatenate(places)


def _consistent(found: Found, mm: Array) -> NDArray[np.bool_]:
    """Features that lie where a homography through the others puts them."""
    good = found.good.copy()
    for limit in (2.0, 0.6):
        if good.sum() < MIN_FEATURES:
            return good
        # First robustly: where few markers were seen the prediction may have led to neighbours.
        method = cv2.RANSAC if limit == 2.0 else 0
        h = np.asarray(cv2.findHomography(mm[good], found.px[good], method, 2.0)[0], float)
        if h.shape != (3, 3):  # OpenCV gives None where the points lie on one line
            return np.zeros(len(mm), bool)
        error = np.linalg.norm(apply_homography(h, mm) - found.px, axis=1)
        spread = 1.4826 * float(np.median(error[good]))
        good = found.good & (error < max(limit, 5 * spread))
    return good


def _px_per_mm(h: Array, centre: Array) -> float:
    step = 0.5 * np.array([[1, 0], [-1, 0], [0, 1], [0, -1.0]])
    px = apply_homography(h, centre + step)
    return float(np.sqrt(abs(np.linalg.det(np.array([px[0] - px[1], px[2] - px[3]])))))


def _tilt(model: CardModel, theta: Array) -> float:
    rotation, translation = model.pose_of(theta)
    cosine = abs(rotation[:, 2] @ translation) / np.linalg.norm(translation)
    return float(np.degrees(np.arccos(np.clip(cosine, 0, 1))))
