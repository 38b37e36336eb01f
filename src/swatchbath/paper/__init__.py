"""What is printed or kept to look at: takes values, returns text and bytes."""

from .charts import hue_chart, lightness_chart, verdict_mark
from .report import Part, ReportPicture, Strip, report

__all__ = [
    "Part",
    "ReportPicture",
    "Strip",
    "hue_chart",
    "lightness_chart",
    "report",
    "verdict_mark",
]
