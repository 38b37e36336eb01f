"""What is done with one photo: check, measure, sheet, camera profile."""
