"""What the file says about the photo beside its pixels."""

from dataclasses import dataclass
from datetime import datetime

from vision.photo.decoded import Decoded
from vision.photo.exif import Exif, read_exif
from vision.photo.focal import FocalPrior, focal_prior
from vision.photo.gravity import upright_gravity
from vision.photo.upright import QUARTER_TURNS

_ORIENTATION, _DESCRIPTION, _MAKE, _MODEL, _SOFTWARE = 0x0112, 0x010E, 0x010F, 0x0110, 0x0131
_TAKEN, _OFFSET, _NOTE, _LENS_MODEL = 0x9003, 0x9011, 0x927C, 0xA434
_WIDTH, _HEIGHT, _ZOOM, _FOCAL_35MM = 0xA002, 0xA003, 0xA404, 0xA405


@dataclass(frozen=True)
class PhotoFacts:
    """Facts of one photo; none of them is needed to read its pixels.

    Attributes
    ----------
    format : str
        ``"JPEG"``, ``"PNG"`` or ``"HEIF"``, as decoded, whatever the file's name says.
    width_px, height_px : int
        Of the upright photo.
    focal : FocalPrior
        Focal length in pixels with its doubt.
    orientation : int, 1 to 8
        The EXIF tag, 1 where absent; the pixels are upright already.
    make, model, software, description : str
        As the camera wrote them, empty where absent.
    taken_at : datetime or None
        With its offset from UTC where the file tells it, else naive (the camera's clock).
    focal_35mm : float or None
        35 mm equivalent in mm; None where absent or 0.
    digital_zoom : float or None
        Zoom ratio, where the file notes one above 1.
    gravity : tuple of three float, or None
        Unit vector in the upright photo: x right, y down, z into the scene.
    """

    format: str
    width_px: int
    height_px: int
    focal: FocalPrior
    orientation: int = 1
    make: str = ""
    model: str = ""
    software: str = ""
    description: str = ""
    taken_at: datetime | None = None
    focal_35mm: float | None = None
    digital_zoom: float | None = None
    gravity: tuple[float, float, float] | None = None


def orientation_to_apply(decoded: Decoded, exif: Exif) -> int:
    """Return by which EXIF orientation the decoded pixels still have to be turned.

    JPEG and PNG are turned by the tag.  In HEIF the container's own turn counts,
    the decoder has applied it, and the tag is a copy for information (ISO/IEC 23008-12,
    6.5.10 and annex A).  A HEIF without any turn whose tag asks for a quarter turn is
    ambiguous: some writers turned the pixels, some forgot the container's turn.  Sensors
    are wider than high, so such a picture that lies is unturned, unless the
    EXIF size is its swap; one that stands was turned.  Half turns and mirrors
    without a trace in the container follow the standard: not applied.
    """
    tag = _tag(exif)
    if decoded.kind != "HEIF":
        return tag
    if decoded.turned is not None or tag not in QUARTER_TURNS:
        return 1
    height, width = decoded.pixels.shape[:2]
    swapped = width != height and _taken_size(exif) == (height, width)
    return tag if width > height and not swapped else 1


def _tag(exif: Exif) -> int:
    value = int(exif.number(_ORIENTATION) or 1)
    return value if 1 <= value <= 8 else 1


def _taken_size(exif: Exif) -> tuple[int, int] | None:
    width, height = exif.number(_WIDTH), exif.number(_HEIGHT)
    return (int(width), int(height)) if width and height else None


def gather(decoded: Decoded, size: tuple[int, int]) -> PhotoFacts:
    """Collect the facts of a decoded file.

    Parameters
    ----------
    decoded : Decoded
        As the decoder gave it.
    size : (int, int)
        Width and height of the upright photo.
    """
    exif = read_exif(decoded.exif)
    tag = _tag(exif)
    focal_35mm = exif.number(_FOCAL_35MM) or None
    zoom = exif.number(_ZOOM)
    zoom = zoom if zoom and zoom > 1 else None
    return PhotoFacts(
        format=decoded.kind,
        width_px=size[0],
        height_px=size[1],
        focal=focal_prior(size, focal_35mm, digital_zoom=zoom, taken_size=_taken_size(exif)),
        orientation=tag,
        make=exif.text(_MAKE),
        model=exif.text(_MODEL),
        software=exif.text(_SOFTWARE),
        description=exif.text(_DESCRIPTION),
        taken_at=taken_at_of(exif),
        focal_35mm=focal_35mm,
        digital_zoom=zoom,
        gravity=_gravity(exif, tag, decoded),
    )


def taken_at_of(exif: Exif) -> datetime | None:
    """Return when the photo was taken, with its offset from UTC where the EXIF tells it."""
    text = exif.text(_TAKEN)
    try:
        return datetime.strptime(f"{text} {exif.text(_OFFSET)}", "%Y:%m:%d %H:%M:%S %z")
    except ValueError:
        pass
    try:
        return datetime.strptime(text, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _gravity(exif: Exif, tag: int, decoded: Decoded) -> tuple[float, float, float] | None:
    note = exif.photo.get(_NOTE)
    # The camera beside the screen looks the other way, and its picture may be mirrored.
    if note is None or "front" in exif.text(_LENS_MODEL).lower():
        return None
    turned = orientation_to_apply(decoded, exif) if decoded.turned is None else decoded.turned
    return upright_gravity(note.raw, tag, turned)
