"""The figure at address: its parts against the proportions of bodies."""

import numpy as np
import pytest

from engine.body.posture import address
from engine.units import INCH


@pytest.mark.parametrize("height_m", [1.50, 1.78, 2.00])
def test_the_head_stands_where_heads_do(height_m):
    """Drillis and Contini 1966 in Winter, fig. 4.1, from memory: of stature, shoulders at 0.818 and chin at 0.870; the
    middle of the head, between chin and crown at 0.935, is 0.117 above the shoulders."""
    stand = address(height_m=height_m, length_m=[37 * INCH, 45.5 * INCH], lie_deg=[62.25, 58.5])
    neck = stand.joints["head"] - stand.joints["shoulder"]
    assert np.hypot(*neck) == pytest.approx(0.117 * height_m, abs=0.03 * height_m)
    # bent over the ball the head goes on in the direction of the trunk and looks down by some 20 deg
    trunk = stand.joints["shoulder"] - stand.joints["hip"]
    lean_neck, lean_trunk = (np.degrees(np.arctan2(x[0], x[1])) for x in (neck, trunk))
    assert lean_neck - lean_trunk == pytest.approx(20, abs=1.5)
    assert (neck > 0).all()


@pytest.mark.parametrize("height_m", [1.50, 1.78, 2.00])
def test_lengths_of_the_figure_are_those_of_the_body(height_m):
    """Drillis and Contini 1966 in Winter, fig. 4.1, from memory: of stature, shank 0.246, thigh 0.245, foot 0.152, shoulder
    less hip 0.818 - 0.530; the heel is a quarter of the foot behind the ankle."""
    at = address(height_m=height_m, length_m=37 * INCH, lie_deg=62.25).joints
    for ends, share in (
        (("ankle", "knee"), 0.246),
        (("knee", "hip"), 0.245),
        (("hip", "shoulder"), 0.818 - 0.530),
        (("heel", "toe"), 0.152),
    ):
        length = float(np.hypot(*(at[ends[1]] - at[ends[0]]))[0])
        assert length == pytest.approx(share * height_m, rel=0.03), ends
    assert float((at["ankle"] - at["heel"])[0, 0]) == pytest.approx(0.25 * 0.152 * height_m, rel=0.01)
