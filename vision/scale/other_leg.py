"""A photo whose leg tags are all of other legs is not a photo of this one."""

from vision import notes
from vision.leg import Leg
from vision.photo import Photo
from vision.results import Refusal
from vision.scale.markers import find_markers


def other_leg(name: str, leg: Leg | None, *photos: Photo | None) -> Refusal | None:
    """Return the refusal of a photo of another leg; None where no tag contradicts.

    Parameters
    ----------
    name : str
        Of the result that is refused.
    leg : Leg or None
        None, or a leg without a tag, contradicts nothing.
    photos : Photo or None
        None is passed over.
    """
    if leg is None or leg.leg_tag is None:
        return None
    for photo in photos:
        tags = () if photo is None else find_markers(photo).leg_tags
        if tags and leg.leg_tag not in tags:
            seen = ", ".join(map(str, tags))
            return Refusal(name, notes.WRONG_LEG, f"tag {seen}, this leg has {leg.leg_tag}")
    return None
