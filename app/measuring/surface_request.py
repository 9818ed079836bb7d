"""All that is told to the surface search beside the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.measuring.fitted import fitted
from vision.camera_file import CameraFile
from vision.card import Card
from vision.leg import Leg
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import other_leg
from vision.surface import Searched, search_surface
from vision.surface.pair import search_surface_pair
from vision.surface.search import NAME


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
    leg : Leg or None
        A photo that shows the tag of another leg is refused.
    """

    region: Sequence[tuple[float, float]]
    cards: Sequence[Card] = ()
    camera: CameraFile | None = None
    leg: Leg | None = None

    def search(self, photo: Photo, second: Photo | None = None) -> Searched | Refusal:
        """Return what a person should look at on the surface.

        Parameters
        ----------
        second : Photo, optional
            The same surface from another place; what slides between both is set aside.

        Raises
        ------
        RegionError
            The corners bound no region.
        CameraError
            The calibration is of another camera or picture size.
        """
        camera = fitted(self.camera, photo)
        refused = other_leg(NAME, self.leg, photo, second)
        if refused is not None:
            return refused
        if second is None:
            return search_surface(photo, self.region, self.cards, camera)
        return search_surface_pair(photo, second, self.region, self.cards, camera)
