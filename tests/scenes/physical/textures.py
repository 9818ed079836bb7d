"""The printed textures, made once where the project is installed and carried as files.

The renderer's machine may lack the project's own dependencies, so `prepare`
writes plain NPY files and `load` needs numpy only.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

PX_PER_MM = 20
TAG_CARD_MM = 40.0
TAG_MM = 32.0  # black border to black border, 8 x 8 modules
PAPER, INK = 0.85, 0.035


@dataclass(frozen=True)
class Textures:
    """Linear reflectances [y, x] of the strip card, and of each leg tag by its id."""

    card: NDArray[np.float32]
    card_size_mm: tuple[float, float]
    tags: dict[int, NDArray[np.float32]]


def prepare(folder: Path, tag_ids: list[int], copy: int = 101) -> None:
    """Write card and tags into `folder`; needs the project and OpenCV."""
    import cv2  # noqa: PLC0415 - the renderer's machine need not have it

    from tests.scenes.card_texture import card_texture  # noqa: PLC0415
    from vision.card import supplied_cards  # noqa: PLC0415

    folder.mkdir(parents=True, exist_ok=True)
    strip = next(card for card in supplied_cards() if card.name == "strip")
    np.save(folder / "card.npy", _eight_bit(card_texture(strip, PX_PER_MM, copy)))
    size = {"width_mm": strip.width_mm, "height_mm": strip.height_mm}
    (folder / "card.json").write_text(json.dumps(size), encoding="utf-8")
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    side, module = round(TAG_CARD_MM * PX_PER_MM), round(TAG_MM * PX_PER_MM / 8)
    edge = (side - 8 * module) // 2
    for tag_id in tag_ids:
        sheet = np.ones((side, side), dtype=np.float32)
        marker = cv2.aruco.generateImageMarker(dictionary, tag_id, 8 * module) / 255
        sheet[edge : edge + 8 * module, edge : edge + 8 * module] = marker
        np.save(folder / f"tag{tag_id}.npy", _eight_bit(sheet))


def _eight_bit(reflectance: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Square-root coded, so that dark greys keep their value (0.04 to within 1 %)."""
    return np.round(255 * np.sqrt(np.clip(reflectance, 0, 1))).astype(np.uint8)


def load(folder: Path) -> Textures:
    """Read what `prepare` wrote, as reflectances of ink on paper."""
    size = json.loads((folder / "card.json").read_text(encoding="utf-8"))
    tags = {int(path.stem[3:]): _printed(path) for path in sorted(folder.glob("tag*.npy"))}
    return Textures(_printed(folder / "card.npy"), (size["width_mm"], size["height_mm"]), tags)


def _printed(path: Path) -> NDArray[np.float32]:
    linear = (np.load(path).astype(np.float32) / 255) ** 2
    return np.maximum(linear * np.float32(PAPER), np.float32(INK))
