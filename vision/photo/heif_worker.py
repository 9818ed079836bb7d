"""Decodes one HEIF picture in a process of its own: bytes in, one JSON line and pixels out.

Run as a script by `vision.photo.heif` and not imported: it has nothing of this project's
own, so that it starts fast and nothing of the project is lost when it dies.
"""

import json
import sys

import pi_heif


def main() -> None:
    """Read a file from standard input, write its primary picture to standard output."""
    max_pixels = int(sys.argv[1])
    # Only the picture itself is wanted: the less is parsed, the less can go wrong.
    pi_heif.options.THUMBNAILS = False
    pi_heif.options.DEPTH_IMAGES = False
    pi_heif.options.AUX_IMAGES = False
    heif = pi_heif.open_heif(sys.stdin.buffer.read(), convert_hdr_to_8bit=True)
    picture = heif[heif.primary_index]
    width, height = picture.size
    exif = picture.info.get("exif") or b""
    pixels = picture.data if width * height <= max_pixels else b""
    width, height = picture.size
    head = {"mode": picture.mode, "width": width, "height": height, "exif_bytes": len(exif)}
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + exif)
    sys.stdout.buffer.write(pixels)


if __name__ == "__main__":
    main()
