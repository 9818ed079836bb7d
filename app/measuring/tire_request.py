"""All that is told to the tire measurement beside the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

import vision.tire
from app.errors import UsageError
from app.measuring.fitted import fitted
from vision.camera_file import CameraFile
from vision.card import Card
from vision.leg import Leg
from vision.photo import Photo
from vision.scale.told import Bars, StandOff
from vision.tire import TireMeasurement, Told
from vision.wheel.held_card import ToldCard

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class TireRequest:
    """What is known of one leg's tire and the camera, and what a person showed on the photo.

    Attributes
    ----------
    rim_px, ground_px, plumb_px, horizon_px : tuple of (x, y), px of the upright photo, or None
        Points around the flange's edge (five or more), two at the ground contact, two on a plumb line or
        a building's upright edge, two on the horizon.
    cards : sequence of Card
        One of which is held flat against the wheel; none is looked for where there are none.
    check_bar_mm, check_bar_u_mm
        Measured lengths of that copy's check bars, and their standard uncertainty.
    stand_off : StandOff or None
        Of the card from the plane of the flange's edge.
    """

    leg: Leg
    camera: CameraFile | None = None
    rim_px: Points | None = None
    ground_px: Points | None = None
    plumb_px: Points | None = None
    horizon_px: Points | None = None
    cards: Sequence[Card] = ()
    check_bar_mm: Bars | None = None
    check_bar_u_mm: float | None = None
    stand_off: StandOff | None = None

    def measure(self, photo: Photo) -> TireMeasurement:
        """Return what was asked of the tire on a photo.

        Raises
        ------
        CameraError
            The calibration is of another camera or picture size.
        CardError
            The check bars are not those of the card in the photo.
        LegError
            The leg's data lacks what the measurement needs.
        UsageError
            A point lies outside the photo.
        """
        facts = photo.facts
        for name, points in (
            ("--rim", self.rim_px),
            ("--ground", self.ground_px),
            ("--plumb", self.plumb_px),
            ("--horizon", self.horizon_px),
        ):
            for x, y in points or ():
                if not (0 <= x < facts.width_px and 0 <= y < facts.height_px):
                    msg = (
                        f"{name} {x:g},{y:g} lies outside the photo, which is {facts.width_px} × "
                        f"{facts.height_px} px: give px of the upright photo"
                    )
                    raise UsageError(msg)
        told = Told.of(self.rim_px, self.ground_px, self.plumb_px, self.horizon_px)
        card = None
        if self.cards:
            card = ToldCard(self.cards, self.check_bar_mm, self.check_bar_u_mm, self.stand_off)
        return vision.tire.measure_tire(
            photo, self.leg, camera=fitted(self.camera, photo), told=told, card=card
        )
