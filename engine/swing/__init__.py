"""The player's swing: parameters, delivery, calibration to the shots, and whether they make sense together."""
