"""From a checked table of baths to the factors that the regression learns from."""
