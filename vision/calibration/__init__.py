"""A camera from several photos of one flat card: focal length, principal point, distortion.

Question -> file: what one photo tells `views`; camera and poses from all of them, with doubts
`fit`; from photos to a `CameraFile`, or a refusal `calibrate`.
"""

from vision.calibration.calibrate import BAR_U_MM, FEWEST_VIEWS, calibrate, camera_json
from vision.calibration.fit import CameraFit, View, fit_camera

__all__ = ["BAR_U_MM", "FEWEST_VIEWS", "CameraFit", "View", "calibrate", "camera_json", "fit_camera"]
