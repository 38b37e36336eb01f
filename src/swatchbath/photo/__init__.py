"""From a photo's file to corrected colours with their doubt."""

from .camera import CameraProfile
from .card import Card, Chart
from .measure import Shot, measure, profile_camera
from .read import Photo, read_photo
from .region import Region

__all__ = [
    "CameraProfile",
    "Card",
    "Chart",
    "Photo",
    "Region",
    "Shot",
    "measure",
    "profile_camera",
    "read_photo",
]
