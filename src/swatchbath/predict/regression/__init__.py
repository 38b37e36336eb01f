"""The regression itself: observations, Gaussian processes, training, cross-validation."""
