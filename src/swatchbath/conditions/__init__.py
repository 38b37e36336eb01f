"""What a row of a bath is: its columns, their words and units, and the checking of a table."""

from .columns import COLUMNS, GROUPS, Column, Scale, column
from .table import Checked, check_conditions

__all__ = ["COLUMNS", "GROUPS", "Checked", "Column", "Scale", "check_conditions", "column"]
