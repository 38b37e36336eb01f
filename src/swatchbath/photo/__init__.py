"""From a photo's file to corrected colours with their doubt."""

from .correction.camera_profile import CameraProfile
from .correction.card import Card, Chart
from .file.read import Photo, read_photo
from .measure import measure, profile_camera
from .place.region import Region
from .shot import Shot

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
