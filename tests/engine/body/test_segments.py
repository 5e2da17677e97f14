"""Segments of the body: what lies on top of one another adds up (Drillis and Contini 1966 in Winter, figure 4.1)."""

import pytest

from engine.body.survey import SEGMENTS


@pytest.mark.parametrize(
    ("above", "segment", "below"),
    [
        ("shoulder_height", "upper_arm", "elbow_height"),
        ("elbow_height", "forearm", "wrist_height"),
        ("wrist_height", "hand", "fingertip_height"),
        ("hip_height", "thigh", "knee_height"),
        ("knee_height", "shank", "ankle_height"),
    ],
)
def test_a_joint_is_a_segment_above_the_next(above, segment, below):
    assert SEGMENTS[above] - SEGMENTS[segment] == pytest.approx(SEGMENTS[below], abs=0.0025)


def test_heights_are_in_the_order_of_the_body():
    order = ("eye", "chin", "shoulder", "elbow", "hip", "wrist", "fingertip", "knee", "ankle")
    heights = [SEGMENTS[f"{name}_height"] for name in order]
    assert heights == sorted(heights, reverse=True) and heights[0] < 1
    assert 0.14 < SEGMENTS["foot"] < 0.16  # a foot is some 15 % of the height; common practice, no source
