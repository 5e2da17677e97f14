"""An upright line on the ball prints on the face: by geometry, the world's upright turns against the club."""

import numpy as np

from app.phrases import phrase
from engine.body.start_sizes import CHECK


def leans_to(toe_up_deg):
    """Where the top of an upright line leans on a face seen from the front, toe to the right, of a club so far toe up."""
    turn = np.deg2rad(toe_up_deg)
    toe, crown = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    up = np.array([0.0, 1.0])
    assert up @ crown > 0
    return "toe" if up @ toe > 0 else "heel"


def test_the_line_on_the_ball_is_read_as_geometry_has_it():
    (told,) = (phrase(s, "metric") for s in CHECK if s.kind == "check.line_on_ball")
    assert f"top leans to the {leans_to(-3.0)} means too flat, to the {leans_to(3.0)} too upright" in told
