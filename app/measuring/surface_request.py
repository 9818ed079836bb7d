"""All that is told to the surface search beside the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.measuring.fitted import fitted
from vision.camera_file import CameraFile
from vision.card import Card
from vision.photo import Photo
from vision.results import Refusal
from vision.surface import Searched, search_surface


@dataclass(frozen=True)
class SurfaceRequest:
    """Which piece of a surface a person showed on the photo, and what may tell millimetres on it.

    Attributes
    ----------
    region : sequence of (x, y)
        px of the upright photo: two opposite corners, or three corners and more in their order round.
    cards : sequence of Card
        Cards that may lie on the surface.
    camera : CameraFile or None
    """

    region: Sequence[tuple[float, float]]
    cards: Sequence[Card] = ()
    camera: CameraFile | None = None

    def search(self, photo: Photo) -> Searched | Refusal:
        """Return what a person should look at on the surface.

        Raises
        ------
        RegionError
            The corners bound no region.
        CameraError
            The calibration is of another camera or picture size.
        """
        return search_surface(photo, self.region, self.cards, fitted(self.camera, photo))
