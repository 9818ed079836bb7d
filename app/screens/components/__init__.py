"""Widgets that Streamlit does not have: a photo that surely arrives, and places set on a photo.

Question -> file: `send_photo` `sending`, `place_points` `placing`; what both share in
the browser `shared`; how their files reach it `assets`.
"""

from app.screens.components.placing.widget import STRUT_LABELS, Place, place_points
from app.screens.components.sending.widget import send_photo

__all__ = ["STRUT_LABELS", "Place", "place_points", "send_photo"]
