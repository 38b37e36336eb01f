"""From what was read to true colours: known colours in the frame, light, error model."""
