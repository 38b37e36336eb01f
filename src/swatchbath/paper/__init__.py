"""What is printed or kept to look at: takes values, returns text and bytes."""

from .charts import hue_chart, lightness_chart, verdict_mark
from .patch import PatchColours, patch_colours
from .rendering import environment
from .report import Part, ReportPicture, Strip, report

__all__ = [
    "Part",
    "PatchColours",
    "ReportPicture",
    "Strip",
    "environment",
    "hue_chart",
    "lightness_chart",
    "patch_colours",
    "report",
    "verdict_mark",
]
