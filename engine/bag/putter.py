"""A putter for a player: length and lie from a posture with the eyes over the ball, loft for the stroke, and what the
green makes of it.

The posture is an assumption, stated in its constants: more hinge than for a full shot, arms hanging straight down with a
little bend in the elbows, the face turned nearly level with the ground, and the eyes over the ball or up to two inches
inside it. Common practice, no source; the figure's lengths are those of `engine.body`. It gives the survey's average man
a putter of usual length and lie. Comfort, aim and holing out decide.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..body import survey
from ..body.posture import Body, body_of
from ..documents.case import Club
from ..physics.putting import (
    LAUNCH_WANTED_DEG,
    capture_offset,
    capture_speed,
    deceleration,
    dynamic_loft,
    face_spin_share,
    launch_angle,
    putt,
    recommended_loft,
    rolling_resistance,
    speed_for,
    speed_to_roll,
)
from ..statements import Statement, state
from ..units import BALL_RADIUS, DEGREE, INCH
from ..workshop.known import basis
from ..workshop.norms import GRIP_M, norm_club
from ..workshop.rules import EDITION, PUTTER_LOFT_LEAST_DEG, PUTTER_LOFT_MOST_DEG, Finding, check_bag

HINGE_DEG = 45.0
ELBOW_BEND = 0.90  # [-] of the hanging arm's length that is left with the elbows a little bent
HEAD_TILT_DEG = 75.0  # [deg] of the head from upright; 90 has the face level with the ground
EYE_FORWARD = 0.05  # [stature] eyes in front of the line from shoulders to crown
EYES_INSIDE_M = (0.0, 2 * INCH)  # the eyes may be so far inside the ball
LENGTH_M = (32 * INCH, 36 * INCH)  # a fit beyond it wants a second look
DISTANCES_M = (1.5, 3.0, 6.0, 10.0)
PAST_M = 0.4  # [m] a putt that misses should run past; common practice, no source
LEAST_BEND_DEG = 0.5

PUTTER_NOTE = state("note.putter")


@dataclass(frozen=True, slots=True)
class PutterFit:
    """A putter to begin with. Length [m], lie [deg], loft band [deg]; whether the length is within 32 to 36 in.

    length_m_90, lie_deg_range : from the survey's residual, and from eyes over the ball to two inches inside
    """

    length_m: float
    length_m_90: tuple[float, float]
    lie_deg: float
    lie_deg_range: tuple[float, float]
    loft_deg: tuple[float, float]
    usual: bool
    note: Statement = PUTTER_NOTE


@dataclass(frozen=True, slots=True)
class PuttRow:
    """A putt of a distance [m]: speed off the face [m/s], skid [m] and its share of the putt [-], once rolling [m/s]."""

    distance_m: float
    speed_mps: float
    skid_m: float
    skid_share: float
    rolling_mps: float


@dataclass(frozen=True, slots=True)
class PutterAdvice:
    """All that is said of a putter.

    putter : the one looked at; eyes_inside_m : how far inside the ball the eyes are over it, outside negative, NaN if
        its hands are too high or low to be reached
    dynamic_loft_deg, launch_deg : of that putter in this stroke
    recommended_loft_deg : the middle of the band that launches 1 to 2 deg, held within the rules
    hole_speed_mps : speed at the hole of a putt that would run `PAST_M` past; hole_width_m : how wide the hole is to it
    """

    putter: Club
    fit: PutterFit
    eyes_inside_m: float
    dynamic_loft_deg: float
    launch_deg: float
    recommended_loft_deg: float
    loft_change_deg: float
    green_speed_ft: float
    slope: float
    deceleration_mps2: float
    rolling_resistance: float
    putts: tuple[PuttRow, ...]
    capture_mps: float
    capture_rim_mps: float
    hole_speed_mps: float
    hole_width_m: float
    rules: tuple[Finding, ...]
    statements: tuple[Statement, ...]
    note: Statement = PUTTER_NOTE
    edition: str = EDITION


def putter_fit(
    *,
    height_m: float | None = None,
    wingspan_m: float | None = None,
    wrist_to_floor_m: float | None = None,
    sex: str | None = None,
    lean_deg: float = 0.0,
    attack_deg: float = 0.0,
) -> PutterFit:
    """Putter length, lie and loft from the body and the stroke; see `engine.body.posture.body_of` for the measures."""
    here = body_of(height_m=height_m, wingspan_m=wingspan_m, wrist_to_floor_m=wrist_to_floor_m, sex=sex)
    middle = sum(EYES_INSIDE_M) / 2
    length, lie = _length_lie(here, middle)
    ends = [length]
    if wrist_to_floor_m is None:
        guess = survey.wrist_to_floor(here.height, wingspan_m=wingspan_m, sex=sex)
        for wrist in (guess.lo90_m, guess.hi90_m):
            other = body_of(height_m=height_m, wingspan_m=wingspan_m, wrist_to_floor_m=wrist, sex=sex)
            ends.append(_length_lie(other, middle)[0])
    lies = [_length_lie(here, inside)[1] for inside in EYES_INSIDE_M]
    return PutterFit(
        length,
        (min(ends), max(ends)),
        lie,
        (min(lies), max(lies)),
        recommended_loft(lean_deg=lean_deg, attack_deg=attack_deg),
        LENGTH_M[0] <= length <= LENGTH_M[1],
    )


def putter_advice(
    *,
    height_m: float | None = None,
    wingspan_m: float | None = None,
    wrist_to_floor_m: float | None = None,
    sex: str | None = None,
    putter: Club | None = None,
    lean_deg: float = 0.0,
    attack_deg: float = 0.0,
    green_speed_ft: float = 10.0,
    slope: float = 0.0,
    distances_m: tuple[float, ...] = DISTANCES_M,
) -> PutterAdvice:
    """A putter to begin with, what the present one does, and skid, roll and capture on a green.

    Parameters
    ----------
    height_m, wingspan_m, wrist_to_floor_m, sex : see `engine.body.posture.body_of`
    putter : the present one; the usual one if not given
    lean_deg : of the shaft towards the target at impact [deg]; attack_deg : upward positive [deg]
    green_speed_ft : green-speed rating [ft], above 0; slope : rise over run, uphill positive [-]

    Raises
    ------
    ValueError
        If the club is no putter or the green speed is not above 0.
    """
    if putter is not None and putter.family != "putter":
        raise ValueError("`putter` must be a club of family putter")
    if not green_speed_ft > 0:
        raise ValueError("`green_speed_ft` must be above 0")
    putter = putter or norm_club("pt", sex)
    stroke = {"lean_deg": lean_deg, "attack_deg": attack_deg}
    fit = putter_fit(
        height_m=height_m,
        wingspan_m=wingspan_m,
        wrist_to_floor_m=wrist_to_floor_m,
        sex=sex,
        **stroke,
    )
    body = body_of(height_m=height_m, wingspan_m=wingspan_m, wrist_to_floor_m=wrist_to_floor_m, sex=sex)
    wanted = float(np.clip(sum(fit.loft_deg) / 2, PUTTER_LOFT_LEAST_DEG, PUTTER_LOFT_MOST_DEG))
    share = face_spin_share(loft_deg=putter.loft_deg, **stroke)
    rows = tuple(_row(d, green_speed_ft, slope, share) for d in distances_m)
    at_hole = float(speed_to_roll(PAST_M, green_speed_ft=green_speed_ft, slope=slope))
    advice = PutterAdvice(
        putter=putter,
        fit=fit,
        eyes_inside_m=_eyes_inside(body, putter),
        dynamic_loft_deg=dynamic_loft(loft_deg=putter.loft_deg, lean_deg=lean_deg),
        launch_deg=launch_angle(loft_deg=putter.loft_deg, **stroke),
        recommended_loft_deg=wanted,
        loft_change_deg=wanted - putter.loft_deg,
        green_speed_ft=green_speed_ft,
        slope=slope,
        deceleration_mps2=float(deceleration(green_speed_ft=green_speed_ft, slope=slope)),
        rolling_resistance=float(rolling_resistance(green_speed_ft=green_speed_ft)),
        putts=rows,
        capture_mps=float(capture_speed()),
        capture_rim_mps=float(capture_speed(rim=True)),
        hole_speed_mps=at_hole,
        hole_width_m=2 * float(capture_offset(at_hole)) if np.isfinite(at_hole) else float("nan"),
        rules=tuple(f for f in check_bag((putter,)).findings if f.club is not None),
        statements=(),
    )
    return replace(advice, statements=_statements(advice))


def only_known(advice: PutterAdvice, *, own: Club | None, body: bool, stroke: bool) -> PutterAdvice:
    """The advice without what rests on figures that nobody measured or entered, and what to measure or enter for it.

    own : the putter in the bag, if there is one; body : whether height or wrist to floor is known; stroke : whether lean and
    attack are
    """

    def measured(*names: str) -> bool:
        return own is not None and all(basis(own, name) in ("measured", "ordered") for name in names)

    loft, size = measured("loft_deg"), measured("length_m", "lie_deg")
    told = {
        "putter.begin": body,
        "putter.eyes": body and size,
        "putter.out_of_reach": body and size,
        **dict.fromkeys(_OF_THE_STROKE, loft and stroke),
    }
    kept = [s for s in advice.statements if told.get(s.kind, own is not None or s.kind in _OF_THE_GREEN)]
    if not body:
        kept.insert(0, state("body.unknown"))
    needs = [n for n, known in (("loft", loft), ("size", size or not body), ("stroke", stroke)) if not known]
    if own is not None and needs:
        kept.insert(1, state("putter.not_measured", needs=needs))
    return replace(advice, statements=tuple(kept))


_OF_THE_STROKE = ("putter.launch", "putter.leave_loft", "putter.no_loft", "putter.change_loft", "putter.skid")
_OF_THE_GREEN = ("putter.runs_away", "putter.capture")


def _length_lie(body: Body, eyes_inside_m: float) -> tuple[float, float]:
    """Length [m] and lie [deg] of the putter that a player in the putting posture holds."""
    hands_x, hands_y, eyes_x = _posture(body, HINGE_DEG)
    out = eyes_x + eyes_inside_m - hands_x
    return GRIP_M + float(np.hypot(out, hands_y)), float(np.arctan2(hands_y, out) / DEGREE)


def _posture(body: Body, hinge_deg: float) -> tuple[float, float, float]:
    """Hands (out, up) and eyes (out) [m] for a hip hinge [deg]; outward from the ankle, toward the ball."""
    hinge, tilt = hinge_deg * DEGREE, HEAD_TILT_DEG * DEGREE
    shoulder_x = body.hip_x + body.trunk * np.sin(hinge)
    shoulder_y = body.hip_height + body.trunk * np.cos(hinge)
    up = (survey.SEGMENTS["eye_height"] - survey.SEGMENTS["shoulder_height"]) * body.height
    eyes_x = shoulder_x + up * np.sin(tilt) + EYE_FORWARD * body.height * np.cos(tilt)
    return float(shoulder_x), float(shoulder_y - ELBOW_BEND * body.arm), float(eyes_x)


def _eyes_inside(body: Body, putter: Club) -> float:
    """How far inside the ball [m] the eyes come when the hinge puts the hands where this putter's sole sits flat."""
    reach = putter.length_m - GRIP_M
    hands_y = reach * np.sin(putter.lie_deg * DEGREE)
    cosine = (hands_y + ELBOW_BEND * body.arm - body.hip_height) / body.trunk
    if not 0 < cosine < 1:
        return float("nan")
    hands_x, _, eyes_x = _posture(body, float(np.arccos(cosine) / DEGREE))
    return float(hands_x + reach * np.cos(putter.lie_deg * DEGREE) - eyes_x)


def _row(distance_m: float, green_speed_ft: float, slope: float, share: float) -> PuttRow:
    speed = speed_for(distance_m, green_speed_ft=green_speed_ft, slope=slope, spin_share=share)
    run = putt(speed, green_speed_ft=green_speed_ft, slope=slope, spin_rad_s=share * speed / BALL_RADIUS)
    return PuttRow(distance_m, speed, run.skid_m, run.skid_share, run.rolling_mps)


def _statements(a: PutterAdvice) -> tuple[Statement, ...]:
    low, high = LAUNCH_WANTED_DEG
    out = [
        state(
            "putter.begin",
            length=(a.fit.length_m, *a.fit.length_m_90),
            lie=(a.fit.lie_deg, *a.fit.lie_deg_range),
            inside=EYES_INSIDE_M[1],
        )
    ]
    if np.isfinite(a.eyes_inside_m):
        side = "inside" if a.eyes_inside_m >= 0 else "outside"
        out.append(state("putter.eyes", distance=abs(a.eyes_inside_m), side=side))
    else:
        out.append(state("putter.out_of_reach"))
    out.append(state("putter.launch", loft=a.dynamic_loft_deg, launch=a.launch_deg, least=low, most=high))
    if low <= a.launch_deg <= high or abs(a.loft_change_deg) < LEAST_BEND_DEG:
        out.append(state("putter.leave_loft"))
    elif a.recommended_loft_deg in (PUTTER_LOFT_LEAST_DEG, PUTTER_LOFT_MOST_DEG):
        out.append(state("putter.no_loft"))
    else:
        way = "more" if a.loft_change_deg > 0 else "less"
        out.append(
            state(
                "putter.change_loft",
                change=abs(a.loft_change_deg),
                loft=a.recommended_loft_deg,
                way=way,
            )
        )
    if a.putts and np.isfinite(a.putts[-1].speed_mps):
        far = a.putts[-1]
        out.append(
            state(
                "putter.skid",
                green=a.green_speed_ft,
                distance=far.distance_m,
                skid=far.skid_m,
                share=far.skid_share,
            )
        )
    elif a.putts:
        out.append(state("putter.runs_away"))
    if np.isfinite(a.hole_width_m):
        out.append(state("putter.capture", past=PAST_M, width=a.hole_width_m, speed=a.capture_mps))
    out.extend(f.statement for f in a.rules if not f.conforms)
    return tuple(out)
