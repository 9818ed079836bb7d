"""What is known of the camera before the card is looked at."""

from vision.camera_file import CameraFile
from vision.photo import Photo
from vision.scale.model import CameraKnowledge


def camera_knowledge(photo: Photo, camera: CameraFile | None) -> CameraKnowledge:
    """What is known of the camera that took a photo: its calibration, else what the file says."""
    height, width = photo.pixels.shape[:2]
    if camera is not None:
        return CameraKnowledge(
            camera.f_px,
            camera.f_u_px,
            camera.cx_px,
            camera.cy_px,
            camera.k1,
            max(camera.k1_u, 1e-4),
            f"calibration of {camera.date}",
        )
    prior = photo.facts.focal
    return CameraKnowledge(prior.f_px, prior.u_px, (width - 1) / 2, (height - 1) / 2, source=prior.rule)
