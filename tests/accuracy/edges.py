"""Sub-pixel edges on synthetic strips against Fisher's bound: ``python -m tests.accuracy edges``.

Two kinds of strips.  *Samples*: a blurred step with white noise, one sample a pixel, the very samples of the
bound.  *Pictures*: a slanted edge drawn as pixels (each the mean over its square) with noise and eight bits, strips
of ten rows sampled from it by `vision.edges.sample` at every half pixel, as the measurement does; there
neighbouring samples share pixels, so the bound is that of the pixels under the strip.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.edges import binned, fit_steps, sample

Array = NDArray[np.float64]
STEP = 60 / 255
LOW = 0.3
ROWS = 10
BLURS = (0.7, 1.0, 1.5, 2.0, 2.5, 3.0)
NOISES = (1.0, 2.0, 4.0, 8.0)
ALLOWED_RATIO, ALLOWED_BIAS_PX = 1.15, 0.02


def fisher_bound(t: Array, centre: Array, window: Array, blur: float, noise: float, free: bool) -> Array:
    """The least sd (B,) of any unbiased place from these samples: root of the inverse Fisher information.

    Parameters
    ----------
    t : (T,) array
        Offsets of the samples, px.
    centre : (B,) array
        True places.
    window : (B, T) bool array
        Which samples are used.
    noise : float
        Standard deviation of one sample, share of white.
    free : bool
        Whether the blur is unknown too; the two levels always are (Cramér–Rao).
    """
    z = (t[None, :] - centre[:, None]) / blur
    bell = np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi) * STEP / blur
    columns = [np.ones_like(z), ndtr(z), -bell] + ([-bell * z] if free else [])
    slopes = np.stack(columns, axis=-1) * window[:, :, None]
    information = np.einsum("bti,btj->bij", slopes, slopes) / noise**2
    return np.asarray(np.sqrt(np.linalg.inv(information)[:, 2, 2]))


def of_samples(blur: float, noise: float, free: bool, count: int, seed: int) -> tuple[Array, Array, Array]:
    """Errors (N,), Fisher's bounds (N,) and which fits are good, of strips of samples."""
    rng = _rng(seed, 1, blur, noise)
    reach = max(4 * blur, 4.0)
    t = np.arange(-2.0 * np.ceil(reach), 2.0 * reach + 0.01)
    centre = rng.uniform(-1, 1, count)
    start = centre + rng.uniform(-1, 1, count) * blur
    sd = noise / 255 / np.sqrt(ROWS)
    strips = LOW + STEP * ndtr((t - centre[:, None]) / blur) + rng.normal(0, sd, (count, t.size))
    steps = fit_steps(strips, t, start, blur, reach, free_blur=free)
    window = np.abs(t - start[:, None]) <= reach
    return steps.position - centre, fisher_bound(t, centre, window, blur, sd, free), steps.good


def of_pictures(blur: float, noise: float, free: bool, count: int, seed: int) -> tuple[Array, Array, Array]:
    """The same, of strips sampled from pictures of a slanted edge."""
    rng = _rng(seed, 2, blur, noise)
    reach = max(4 * blur, 4.0)
    half = int(np.ceil(reach)) + 6
    t = np.arange(-reach - 1, reach + 1.01, 0.5)
    errors, bounds, good = [], [], []
    wide = np.arange(2 * half + 1, dtype=float)
    while sum(map(len, errors)) < count:
        rows = np.arange(ROWS * 40, dtype=float)
        slope = rng.uniform(-0.1, 0.1)
        course = slope * (rows - rows.mean())
        place = half + rng.uniform(-0.5, 0.5) + course % 1.0 - (course % 1.0).mean()
        # Each row's own shift by whole pixels keeps a slanted edge within a narrow picture.
        cosine = 1 / np.hypot(1, slope)
        u = (wide - place[:, None]) * cosine
        # A pixel is the mean over its square: the mean of ndtr over one pixel, in closed form.
        light = (
            LOW + STEP * (_area((u + 0.5 * cosine) / blur) - _area((u - 0.5 * cosine) / blur)) * blur / cosine
        )
        coded = np.round(255 * (light + rng.normal(0, noise / 255, light.shape))) / 255
        shift = place.copy()
        x, y = shift[:, None] + t / cosine, rows[:, None] + 0 * t
        strips = binned(sample(coded.astype(np.float32)[:, :, None], x, y), ROWS)[:, :, 0]
        # The pixel's own square and the bilinear sampling widen the edge by a known amount.
        seen = float(np.sqrt(blur**2 + 1 / 12 + 1 / 6))
        steps = fit_steps(strips, t, np.zeros(len(strips)), seen, reach, free_blur=free)
        grid = np.arange(-np.floor(reach), reach + 0.01)
        inside = np.ones((len(strips), grid.size), dtype=bool)
        sd = np.hypot(noise, 1 / np.sqrt(12)) / 255 / np.sqrt(ROWS)
        errors.append(steps.position)
        bounds.append(
            fisher_bound(grid, np.zeros(len(strips)), inside, float(np.hypot(blur, 12**-0.5)), sd, free)
        )
        good.append(steps.good)
    return tuple(np.concatenate(part)[:count] for part in (errors, bounds, good))  # type: ignore[return-value]


def _rng(seed: int, kind: int, blur: float, noise: float) -> np.random.Generator:
    """A stream of its own for each case, so that one unlucky draw is not told by all of them."""
    return np.random.default_rng([seed, kind, round(10 * blur), round(10 * noise)])


def _area(z: Array) -> Array:
    """Integral of the normal distribution function."""
    return z * ndtr(z) + np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi)


def report(count: int, seed: int) -> tuple[str, bool]:
    """The table as Markdown, and whether every case of samples keeps the allowances."""
    lines = [
        f"{count} strips a case, {ROWS} rows each, step 60 of 255; allowed: sd {ALLOWED_RATIO} × the bound, "
        f"bias {ALLOWED_BIAS_PX} px.",
        "",
        "| strips | blur px | noise of 255 | blur fitted | good | bias px | sd px | bound px | sd / bound | |",
        "|" + "---|" * 10,
    ]
    kept = True
    for name, case in (("samples", of_samples), ("pictures", of_pictures)):
        for free in (False, True):
            for blur in BLURS:
                for noise in NOISES:
                    error, bound, good = case(blur, noise, free, count, seed)
                    lines.append(_line(name, (blur, noise, free), error, bound, good))
                    kept &= name != "samples" or lines[-1].endswith("| ok |")
    return "\n".join(lines), kept


def _line(
    name: str, case: tuple[float, float, bool], error: Array, bound: Array, good: NDArray[np.bool_]
) -> str:
    blur, noise, free = case
    bias, sd = float(error[good].mean()), float(error[good].std())
    ratio = float((error / bound)[good].std())
    fine = abs(bias) <= ALLOWED_BIAS_PX and ratio <= ALLOWED_RATIO
    return (
        f"| {name} | {blur:g} | {noise:g} | {'yes' if free else 'no'} | {good.mean():.3f} | {bias:+.4f} "
        f"| {sd:.4f} | {np.sqrt(np.mean(bound[good] ** 2)):.4f} | {ratio:.3f} | {'ok' if fine else 'BEYOND'} |"
    )


def main(argv: Sequence[str]) -> int:
    """Print the table; exit 1 where a case of samples goes beyond what is allowed."""
    top = argparse.ArgumentParser(prog="python -m tests.accuracy edges", description=__doc__.splitlines()[0])
    top.add_argument("--strips", type=int, default=2000, help="strips of each case")
    top.add_argument("--seed", type=int, default=0)
    top.add_argument("--out", type=Path, default=Path("build/edges"))
    options = top.parse_args(argv)
    text, kept = report(options.strips, options.seed)
    options.out.mkdir(parents=True, exist_ok=True)
    (options.out / "table.md").write_text(text + "\n", encoding="utf-8")
    print(text)
    return 0 if kept else 1
