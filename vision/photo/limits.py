"""How large a photo may be, and why."""

from vision.errors import PhotoError

# The largest phone sensors in common use give 108 megapixels in one file; three
# bytes a pixel make 360 MB of this, which a small server still bears.  A file
# that *says* it is larger is a mistake or an attack.
MAX_PIXELS = 120_000_000
# A 12 MP PNG with 16 bits is 72 MB at worst; phone JPEG and HEIC stay below 40 MB.
MAX_FILE_BYTES = 80_000_000


def check_file_size(data: bytes) -> None:
    """Refuse an empty file and one beyond `MAX_FILE_BYTES`.

    Raises
    ------
    PhotoError
        If the file is empty or too large.
    """
    if not data:
        msg = "the file is empty: a photo was expected; upload it again"
        raise PhotoError(msg)
    if len(data) > MAX_FILE_BYTES:
        msg = (
            f"the file has {len(data) / 1e6:.0f} MB, more than the {MAX_FILE_BYTES / 1e6:.0f} MB "
            "that a photo may have; send the photo as the phone's camera stored it"
        )
        raise PhotoError(msg)


def check_picture_size(width: int, height: int) -> None:
    """Refuse a picture without pixels or with more than `MAX_PIXELS`, before decoding it.

    Raises
    ------
    PhotoError
        If a side is zero or the picture is too large.
    """
    if width < 1 or height < 1:
        msg = f"the photo says that it is {width} x {height} pixels, which is no picture; take it again"
        raise PhotoError(msg)
    if width * height > MAX_PIXELS:
        msg = (
            f"the photo says that it is {width} x {height} pixels, more than the "
            f"{MAX_PIXELS / 1e6:.0f} megapixels that are read; set the camera to a smaller size"
        )
        raise PhotoError(msg)


def truncated(kind: str) -> PhotoError:
    """Return the error for a file that stops before its picture does."""
    return PhotoError(f"the {kind} file is cut short: a part of the picture is missing; upload it again")


def damaged(kind: str, detail: str) -> PhotoError:
    """Return the error for a file of a known kind that cannot be decoded."""
    return PhotoError(f"the {kind} file is damaged and cannot be decoded ({detail}); upload it again")
