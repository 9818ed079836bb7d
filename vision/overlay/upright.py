"""The photos asked for last, decoded once: a person looks at many parts of one."""

from collections import OrderedDict
from hashlib import sha256
from threading import Lock

from vision.photo import Photo, read_photo

# Three bytes a pixel are much memory.
_KEPT_PIXELS = 64_000_000


class Upright:
    """The photos asked for last, decoded; several threads may ask at once."""

    def __init__(self, kept_pixels: int) -> None:
        self._kept_pixels = kept_pixels
        self._photos: OrderedDict[bytes, Photo] = OrderedDict()
        self._lock = Lock()

    def photo(self, data: bytes) -> Photo:
        """Return the upright photo, decoded now or before.

        Raises
        ------
        PhotoError
            The bytes are no photo that can be read.
        """
        key = sha256(data).digest()
        # Under the lock, or the eight tiles that a screen asks for at once decode the photo eight times.
        with self._lock:
            found = self._photos.pop(key, None) or read_photo(data)
            self._photos[key] = found
            while len(self._photos) > 1 and self._pixels() > self._kept_pixels:
                self._photos.popitem(last=False)
        return found

    def _pixels(self) -> int:
        return sum(photo.pixels.shape[0] * photo.pixels.shape[1] for photo in self._photos.values())


UPRIGHT = Upright(_KEPT_PIXELS)
