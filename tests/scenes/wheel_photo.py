"""An analytic wheel as the file that a phone would send: JPEG with focal length and time of this minute."""

import io
from datetime import UTC, datetime
from math import hypot

import numpy as np
from PIL import Image

from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelScene

_FULL_FRAME_MM = hypot(36, 24)


def wheel_jpeg(scene: WheelScene) -> bytes:
    """Return a scene as JPEG of quality 95, taken now in UTC by a clock that tells its zone."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Analytic", "Wheel"
    diagonal = hypot(scene.width_px, scene.height_px)
    exif.get_ifd(0x8769).update(
        {
            0x9003: f"{datetime.now(UTC):%Y:%m:%d %H:%M:%S}",
            0x9011: "+00:00",
            0xA405: round(scene.focal_px * _FULL_FRAME_MM / diagonal),
        }
    )
    stream = io.BytesIO()
    pixels = np.ascontiguousarray(render(scene)[0])
    Image.fromarray(pixels).save(stream, "JPEG", quality=95, subsampling=0, exif=exif)
    return stream.getvalue()
