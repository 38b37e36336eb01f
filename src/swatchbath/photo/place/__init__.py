"""A place in a photo: its region, its texture, how good it is for reading a colour."""
