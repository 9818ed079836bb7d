"""The card and the camera as parameters, and what is known of both beforehand.

The same thirteen parameters open the joint fit of a strut, so that what the
card tells of camera and print is not told twice.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera, cross_matrix, rotation_from_vector, turn_by_vector
from vision.fit import Prior

Array = NDArray[np.float64]

ROLLING_SHUTTER = 0.0005  # sd of stretch and shear: a hand turning 2°/s over 30 ms of read-out (from memory)
BEND_SD = 1 / 8000.0  # 1/mm: a stiff card is flat to a radius of about 8 m
UNMEASURED_PRINT = 0.01 / np.sqrt(3)  # ± 1 % rectangular


class P(IntEnum):
    """Places of the camera's and the card's parameters."""

    FOCAL = 0  # ln(f / f0)
    K1 = 1
    STRETCH = 2
    SHEAR = 3
    ROTATION = 4  # 3: rad, on top of the first guess
    TRANSLATION = 7  # 3: mm
    BEND = 10  # curvature along the card, 1/mm
    PRINT_X = 11  # print scale, 1 = as defined
    PRINT_Y = 12


SIZE = 13
STEPS = np.array([1e-5, 1e-5, 1e-6, 1e-6, *[1e-6] * 3, *[1e-3] * 3, 1e-8, 1e-6, 1e-6])


@dataclass(frozen=True)
class CameraKnowledge:
    """What is known of the camera: values with standard uncertainties.

    `source` says where the focal length comes from, for the reading's evidence.
    """

    f_px: float
    f_u_px: float
    cx_px: float
    cy_px: float
    k1: float = 0.0
    k1_u: float = 0.02
    source: str = "photo"


@dataclass(frozen=True)
class CardKnowledge:
    """What is known of this card copy's print: scales along x and y with their sd."""

    scale_x: float = 1.0
    scale_y: float = 1.0
    scale_x_u: float = UNMEASURED_PRINT
    scale_y_u: float = UNMEASURED_PRINT
    measured: bool = False


@dataclass(frozen=True)
class CardModel:
    """The first guess about which the parameters are small, and the projection."""

    camera: Camera
    rotation: Array
    translation: Array
    centre_mm: Array  # (2,) the card's middle: print scales and the bend are taken about it

    def camera_of(self, theta: Array) -> Camera:
        """Return the camera with the parameters applied."""
        return Camera(
            self.camera.f_px * float(np.exp(theta[P.FOCAL])),
            self.camera.cx_px,
            self.camera.cy_px,
            float(theta[P.K1]),
            float(theta[P.STRETCH]),
            float(theta[P.SHEAR]),
        )

    def pose_of(self, theta: Array) -> tuple[Array, Array]:
        """Return rotation (3, 3) and translation (3,): card's middle frame → camera."""
        w = theta[P.ROTATION : P.ROTATION + 3]
        return (
            rotation_from_vector(w) @ self.rotation,
            self.translation + theta[P.TRANSLATION : P.TRANSLATION + 3],
        )

    def points(self, theta: Array, xy_mm: Array) -> Array:
        """Return card points (N, 2) in the camera's frame (N, 3), mm."""
        rotation, translation = self.pose_of(theta)
        local = (xy_mm - self.centre_mm) * theta[[P.PRINT_X, P.PRINT_Y]]
        z = 0.5 * theta[P.BEND] * (local[:, 1] ** 2)
        return np.asarray(np.column_stack([local, z]) @ rotation.T + translation)

    def project(self, theta: Array, xy_mm: Array) -> Array:
        """Project card points (N, 2) mm to pixels (N, 2)."""
        return self.camera_of(theta).project(self.points(theta, xy_mm))

    def project_linear(self, theta: Array, xy_mm: Array) -> tuple[Array, Array]:
        """Project card points (N, 2) mm to pixels (N, 2), with derivatives (N, 2, 13) by the parameters."""
        rotation, translation = self.pose_of(theta)
        nominal = xy_mm - self.centre_mm
        local = nominal * theta[[P.PRINT_X, P.PRINT_Y]]
        bent = 0.5 * local[:, 1] ** 2
        turned = np.column_stack([local, theta[P.BEND] * bent]) @ rotation.T
        px, by_point, by_lens = self.camera_of(theta).project_by_all(turned + translation)
        jac = np.empty((len(px), 2, SIZE))
        jac[:, :, [P.FOCAL, P.K1, P.STRETCH, P.SHEAR]] = by_lens
        # A turn dw moves a point by dw × turned.
        moved = np.stack([turned @ cross_matrix(e).T for e in np.eye(3)], axis=-1)
        by_vector = turn_by_vector(theta[P.ROTATION : P.ROTATION + 3])
        jac[:, :, P.ROTATION : P.ROTATION + 3] = by_point @ (moved @ by_vector)
        jac[:, :, P.TRANSLATION : P.TRANSLATION + 3] = by_point
        inward = by_point @ rotation
        jac[:, :, P.BEND] = inward[:, :, 2] * bent[:, None]
        jac[:, :, P.PRINT_X] = inward[:, :, 0] * nominal[:, :1]
        tilt = theta[P.BEND] * local[:, 1:] * nominal[:, 1:]
        jac[:, :, P.PRINT_Y] = inward[:, :, 1] * nominal[:, 1:] + inward[:, :, 2] * tilt
        return px, jac


def camera_priors(camera: CameraKnowledge) -> list[Prior]:
    """What is known of the camera before the photo is read."""
    return [
        Prior("focal length", P.FOCAL, 0.0, camera.f_u_px / camera.f_px),
        Prior("lens distortion", P.K1, camera.k1, camera.k1_u),
        Prior("rolling shutter", P.STRETCH, 0.0, ROLLING_SHUTTER),
        Prior("rolling shutter", P.SHEAR, 0.0, ROLLING_SHUTTER),
    ]


def card_priors(card: CardKnowledge) -> list[Prior]:
    """What is known of the card copy before the photo is read."""
    return [
        Prior("card flatness", P.BEND, 0.0, BEND_SD),
        Prior("card print", P.PRINT_X, card.scale_x, card.scale_x_u),
        Prior("card print", P.PRINT_Y, card.scale_y, card.scale_y_u),
    ]


def pose_from_homography(camera: Camera, h: Array) -> tuple[Array, Array]:
    """Decompose a homography mm → px into the card's rotation and translation (z = 0 plane)."""
    b = np.linalg.inv(camera.matrix) @ h
    scale = 2 / (np.linalg.norm(b[:, 0]) + np.linalg.norm(b[:, 1]))
    b = b * scale * np.sign(b[2, 2])
    u, _, vt = np.linalg.svd(np.column_stack([b[:, 0], b[:, 1], np.cross(b[:, 0], b[:, 1])]))
    return np.asarray(u @ np.diag([1, 1, np.linalg.det(u @ vt)]) @ vt), np.asarray(b[:, 2])
