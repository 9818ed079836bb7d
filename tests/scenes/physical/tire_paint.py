"""Textures of rubber, rim, paint and floor, drawn from the scene's seed."""

from typing import Any

import numpy as np

from tests.scenes.physical.meshes import Array


def noise(shape: tuple[int, int], coarse: float, rng: np.random.Generator, stretch: float = 1.0) -> Array:
    """Noise (rows, columns) of mean 0 and deviation 1 that wraps round, with grains of about `coarse` pixels."""
    v = np.fft.fftfreq(shape[0])[:, None]
    u = np.fft.rfftfreq(shape[1])[None, :] * stretch
    keep = np.exp(-2 * (np.pi * coarse / 2.4) ** 2 * (u**2 + v**2))
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * keep, shape)
    return np.asarray((field - field.mean()) / field.std())


def rubber(level: float, dust: float, scuffs: int, rng: np.random.Generator) -> Array:
    """Reflectance (rows from bead to bead, columns round, 3): mottle, grey dust, scuffs along the turn."""
    shape = (384, 4096)
    grey = level * (1 + 0.08 * noise(shape, 2, rng) + 0.06 * noise(shape, 30, rng, 0.4))
    cover = np.clip(dust * (0.35 + 0.3 * noise(shape, 60, rng, 0.5) + 0.12 * noise(shape, 6, rng)), 0, 0.8)
    image = grey[..., None] * (1 - cover[..., None]) + cover[..., None] * np.array([0.2, 0.18, 0.155])
    rows, columns = np.mgrid[: shape[0], : shape[1]]
    for _ in range(scuffs):
        row, column = rng.uniform(20, 175), rng.uniform(0, shape[1])
        long, high = rng.uniform(20, 160), rng.uniform(1.0, 3.5)
        away = (columns - column + shape[1] / 2) % shape[1] - shape[1] / 2
        slope = rng.uniform(-0.08, 0.08)
        mask = np.exp(-((away / long) ** 4) - ((rows - row - slope * away) / high) ** 2)
        image = (
            image
            + (rng.uniform(0.01, 0.05) * mask * np.clip(0.6 + 0.5 * noise(shape, 3, rng), 0, 1.5))[..., None]
        )
    return np.clip(image, 0.006, 0.5)


def rim(rgb: Any, dust: float, rng: np.random.Generator) -> Array:
    """Reflectance (rows across, columns round, 3) of paint with brake dust and runs of grime."""
    shape = (256, 2048)
    cover = np.clip(dust * (0.3 + 0.35 * noise(shape, 40, rng, 0.5) + 0.2 * noise(shape, 4, rng)), 0, 0.85)
    cover = np.maximum(cover, dust * 0.8 * (noise(shape, 2, rng) > 2.9))
    return np.asarray(
        np.asarray(rgb) * (1 - cover[..., None]) + cover[..., None] * np.array([0.05, 0.045, 0.04])
    )


def chipped(rgb: Any, under: Any, wear: float, rng: np.random.Generator) -> Array:
    """Reflectance (rows, columns, 3) of paint that has chipped here and there and is unevenly thick."""
    shape = (192, 192)
    image = np.asarray(rgb) * (1 + 0.06 * noise(shape, 12, rng))[..., None]
    if wear:
        field = noise(shape, 5, rng) + 0.5 * noise(shape, 25, rng)
        gone = field > np.quantile(field, 1 - 0.5 * wear)
        image = np.where(gone[..., None], np.asarray(under), image)
    return np.clip(image, 0.004, 0.95)


def floor(level: float, rng: np.random.Generator) -> Array:
    """Reflectance (1536, 1536, 3) of a tile of used concrete that repeats without a seam."""
    shape = (1536, 1536)
    image = 1 + 0.10 * noise(shape, 1.2, rng) + 0.07 * noise(shape, 8, rng) + 0.09 * noise(shape, 90, rng)
    image = image - 0.35 * (noise(shape, 3, rng) > 3.1)  # pits
    rows, columns = np.mgrid[: shape[0], : shape[1]]
    for _ in range(14):  # drips of oil and paint
        at, size = rng.uniform(0, shape[0], 2), rng.uniform(3, 26)
        image = image - rng.uniform(0.1, 0.45) * np.exp(
            -((np.hypot(rows - at[0], columns - at[1]) / size) ** 4)
        )
    return np.clip(level * image[..., None] * np.array([1, 0.985, 0.95]), 0.03, 0.75)
