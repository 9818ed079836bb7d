"""A camera from several photos of one flat card: focal length, principal point, distortion.

Question -> file: what one photo tells `views`; camera and poses from all of them, with doubts
`fit`; from photos to a `CameraFile`, or a refusal `calibrate`; how far the phone's gravity is
turned off `gravity`.
"""

from vision.calibration.calibrate import FEWEST_VIEWS, calibrate
from vision.calibration.fit import CameraFit, View, fit_camera
from vision.calibration.gravity import gravity_offset
from vision.camera_file import camera_json
from vision.scale.told import BAR_U_MM

__all__ = [
    "BAR_U_MM",
    "FEWEST_VIEWS",
    "CameraFit",
    "View",
    "calibrate",
    "camera_json",
    "fit_camera",
    "gravity_offset",
]
