"""A treatment of the fibre as one line of a diary: read into a step, and a step told as a line."""
