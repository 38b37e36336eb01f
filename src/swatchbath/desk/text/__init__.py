"""What is typed made into values, and values made into words."""
