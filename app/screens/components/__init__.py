"""Widgets that Streamlit does not have: a photo that surely arrives, and places set on a photo.

Question -> file: `send_photo` `sending`, `send_photos` `gathering`, `place_points`, `place_some` `placing`,
`keep_typed` `keeping`; what they share in the browser `shared`; how their files reach it `assets`.
"""

from app.screens.components.gathering.widget import send_photos
from app.screens.components.keeping.widget import keep_typed
from app.screens.components.placing.widget import STRUT_LABELS, Place, place_points, place_some
from app.screens.components.sending.widget import send_photo

__all__ = ["STRUT_LABELS", "Place", "keep_typed", "place_points", "place_some", "send_photo", "send_photos"]
