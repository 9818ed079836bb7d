"""All that is told to the hose search beside the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.errors import UsageError
from app.measuring.fitted import fitted
from vision.camera_file import CameraFile
from vision.card import Card
from vision.hose import Coverage, Searched, Tap, search_hoses
from vision.hose.by_card import sized_by_card
from vision.hose.pair import search_pair
from vision.hose.search import NAME
from vision.leg import Leg
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import card_plane, other_leg

MOST_PLACES = 9
"""Places that a person may show along one hose."""


@dataclass(frozen=True)
class HoseRequest:
    """What is known of one leg's hoses, and which of them a person showed on the photo.

    Attributes
    ----------
    leg : Leg or None
        Its hoses' diameters tell the scale, their covers what wear looks like.
    taps : sequence of Tap
        Empty where nobody showed a hose: then nothing counts as searched.
    cards : sequence of Card
        Cards that may hang beside a hose; near one that is found, it tells the sizes.
    camera : CameraFile or None
        Calibration, for the card.
    network : bool
        False searches by the rules of light alone, as before there was a network.
    """

    leg: Leg | None = None
    taps: Sequence[Tap] = ()
    cards: Sequence[Card] = ()
    camera: CameraFile | None = None
    network: bool = True

    def search(self, photo: Photo, second: Photo | None = None) -> Searched | Refusal:
        """Return what a person should look at on a photo's hoses.

        Parameters
        ----------
        second : Photo, optional
            The same hose from further along it; what slides between both is set aside.

        Raises
        ------
        UsageError
            A place lies outside the photo, there are too many of them, the leg has no hose of that name,
            or several and none was named.
        CameraError
            The calibration is of another camera or picture size.
        """
        self._check(photo)
        camera = fitted(self.camera, photo)
        refused = other_leg(NAME, self.leg, photo, second)
        if refused is not None:
            return refused
        hoses = () if self.leg is None else self.leg.hoses
        if second is None:
            found = search_hoses(photo, hoses, self.taps, network=self.network)
        else:
            found = search_pair(photo, second, hoses, self.taps, network=self.network)
        plane = card_plane(photo, self.cards, camera) if isinstance(found, Searched) else None
        return found if plane is None or isinstance(found, Refusal) else sized_by_card(found, plane)

    def _check(self, photo: Photo) -> None:
        height, width = photo.facts.height_px, photo.facts.width_px
        known = [] if self.leg is None else [hose.name for hose in self.leg.hoses]
        for tap in self.taps:
            if tap.name and tap.name not in known:
                names = ", ".join(filter(None, known)) or "none with a name"
                msg = f"--tap {tap.name}: the leg's data have no hose of that name, but {names}"
                raise UsageError(msg)
            if not tap.name and len(known) > 1:
                # Without its cover a braid would be searched as rubber.
                msg = (
                    f"--tap: the leg's data have several hoses: write the name before X,Y, {', '.join(known)}"
                )
                raise UsageError(msg)
            if not 1 <= len(tap.points) <= MOST_PLACES:
                msg = f"--tap takes one to {MOST_PLACES} places along one hose, {len(tap.points)} came"
                raise UsageError(msg)
            for x, y in tap.points:
                if not (0 <= x < width and 0 <= y < height):
                    msg = (
                        f"--tap {x:g},{y:g} lies outside the photo, which is {width} × {height} px: "
                        "give px of the upright photo"
                    )
                    raise UsageError(msg)


def length_share(coverage: Coverage) -> float:
    """Return the share of a hose's length in the photo of which at least some of its round was searched."""
    return 1.0 - sum(to - start for start, to in coverage.gaps())
