"""The forecast of one who knows how players are drawn holds what it says, and is thrown off by sizes that are not theirs."""

import numpy as np
import pytest
from against import could_be, pair
from ideal import forecast
from ruler import by_hand
from truths import Set, players

DRAWN = {"kinds": ("straight",), "count": 3000}  # the quickest kind: no flights


@pytest.mark.parametrize("own", [0.0, 0.04])
def test_nine_in_ten_are_inside(own):
    """Within two standard errors of sixty players, six unhit clubs each, whose errors hang together."""
    drawn = players("straight", Set("one bag", own=own), 60, seed=4)
    assert 0.84 <= np.mean(could_be(drawn, balls=10, sizes=(own,), **DRAWN).held) <= 0.96


def test_it_has_smaller_errors_than_the_line():
    drawn = players("straight", Set("one bag"), 100, seed=3)
    best = could_be(drawn, balls=10, sizes=(0.0,), **DRAWN)
    line = [abs(by_hand(t)["line"][0] / t.carry - 1)[[c.id not in t.hit for c in t.clubs]] for t in drawn]
    assert all(a < 0.95 * b for a, b in zip(pair(best.ours), pair(np.concatenate(line)), strict=True))


def test_sizes_of_departures_decide_what_is_held():
    drawn = players("straight", Set("one bag", own=0.04), 40, seed=4)
    none, either, right = (
        could_be(drawn, balls=10, sizes=s, **DRAWN) for s in ((0.0,), (0.0, 0.04), (0.04,))
    )
    assert np.mean(none.held) < 0.5 < np.mean(either.held) < np.mean(right.held)
    assert np.median(none.half) < np.median(either.half) < np.median(right.half)


def test_a_club_that_was_hit_stays_where_its_balls_say():
    """Where they err by little beside what it departs by."""
    player = players("straight", Set("one bag", own=0.04), 1, seed=4)[0]
    log = forecast(player, (0.04,), 0.002, np.random.default_rng(1), **DRAWN)[0].mean(axis=0)
    ids = [c.id for c in player.clubs]
    for club in player.hit:
        mean = np.log(np.mean([s.carry_m for s in player.case.shots if s.club == club]))
        assert log[ids.index(club)] == pytest.approx(mean, abs=0.001)
