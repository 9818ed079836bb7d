"""HEIF (HEIC) bytes to pixels.

The decoder runs in a process of its own: it is a large C library without further
releases under this licence, and files of a few hundred bytes are known that end
the process that opens them.  A photo must not end the server.  It costs about a
tenth of a second beside a decoding that takes three.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np

from vision.photo.decoded import Decoded, to_rgb8
from vision.photo.heif_boxes import KIND, read_turn
from vision.photo.limits import MAX_PIXELS, check_picture_size, damaged

_WORKER = Path(__file__).with_name("heif_worker.py")
# The slowest phone photo met took 0.8 s; a busy server may need ten times that, an attack more.
_TIMEOUT_S = 60.0
# Samples a pixel and their type, by the decoder's name of the mode.
_MODES: dict[str, tuple[int, str]] = {
    "L": (1, "<u1"),
    "LA": (2, "<u1"),
    "La": (2, "<u1"),
    "RGB": (3, "<u1"),
    "RGBA": (4, "<u1"),
    "RGBa": (4, "<u1"),
    "I;16": (1, "<u2"),
    "L;16": (1, "<u2"),
    "I;16L": (1, "<u2"),
    "LA;16": (2, "<u2"),
    "La;16": (2, "<u2"),
}


def decode_heif(data: bytes) -> Decoded:
    """Decode the primary picture of a HEIF file.

    Parameters
    ----------
    data : bytes
        Beginning with a file type box.

    Raises
    ------
    PhotoError
        If the file is cut, damaged, too large or not a still picture.
    """
    turned = read_turn(data)
    head, exif, body = _run(data)
    width, height, mode = int(head["width"]), int(head["height"]), str(head["mode"])
    check_picture_size(width, height)
    channels, kind = _MODES.get(mode, (0, "<u1"))
    if channels == 0 or len(body) != width * height * channels * int(kind[-1]):
        raise damaged(KIND, f"unexpected samples of mode {mode}")
    samples = np.frombuffer(body, kind).reshape(height, width, channels)
    pixels = to_rgb8(samples, premultiplied=mode.removesuffix(";16").endswith("a"))
    return Decoded(KIND, pixels, exif.removeprefix(b"Exif\0\0"), turned)


def _run(data: bytes) -> tuple[dict[str, int | str], bytes, memoryview]:
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(_WORKER), str(MAX_PIXELS)],
            input=data,
            capture_output=True,
            timeout=_TIMEOUT_S,
            check=True,
        )
    except subprocess.TimeoutExpired as error:
        raise damaged(KIND, f"the decoder did not end within {_TIMEOUT_S:.0f} s") from error
    except (subprocess.CalledProcessError, OSError) as error:
        raise damaged(KIND, "the decoder stopped") from error
    line = done.stdout[: done.stdout.find(b"\n")]
    head: dict[str, int | str] = json.loads(line)
    start = len(line) + 1
    body = start + int(head["exif_bytes"])
    return head, done.stdout[start:body], memoryview(done.stdout)[body:]
