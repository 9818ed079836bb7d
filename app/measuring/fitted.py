"""A calibration brought to the photo that it is used on."""

from vision.camera_file import CameraFile
from vision.photo import Photo


def fitted(camera: CameraFile | None, photo: Photo) -> CameraFile | None:
    """Return the calibration as it lies in this photo, None where there is none.

    Raises
    ------
    CameraError
        It is of another camera or picture size.
    """
    facts = photo.facts
    return camera and camera.check_fits(facts.make, facts.model, facts.width_px, facts.height_px)
