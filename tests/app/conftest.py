from pathlib import Path

import cv2
import pytest

from tests.app.cli_files import READING, Recorder
from tests.scenes.analytic import StrutScene, render


@pytest.fixture
def measurer(monkeypatch: pytest.MonkeyPatch) -> Recorder:
    """Put a measurer in the real one's place that always gives `READING`."""
    recorder = Recorder(READING)
    monkeypatch.setattr("vision.strut.measure_strut", recorder)
    return recorder


@pytest.fixture(scope="session")
def strut_photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small photo of a strut of 88.9 mm, the card's face level with the piston's front line."""
    scene = StrutScene(width_px=1512, height_px=2016, focal_px=1500, distance_mm=600, supersample=1)
    path = tmp_path_factory.mktemp("photo") / "strut.jpg"
    cv2.imwrite(str(path), render(scene)[0][:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, 95])
    return path
