"""Thin calls for rows on driver, ball and putter whose source states trade units or signs: no formula of the engine."""

import numpy as np

from engine.bag.launch_map import face_rise, launch_map, totals
from engine.body.start_sizes import body_fit
from engine.physics.air import REFERENCE, air_of
from engine.physics.ground import GREEN, run_out
from engine.physics.impact import DRIVER_RESTITUTION, Delivery, strike
from engine.physics.off_centre import off_centre
from engine.physics.putting import capture_offset, face_spin_share, putt, speed_for
from engine.physics.trajectory import Launch, fly
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.parameters import INDEX, PARAMETERS
from engine.units import BALL_RADIUS, DEGREE, INCH, MPH, RPM, YARD
from engine.workshop.balance import swing_weight_points, usual_parts, weigh, with_length
from engine.workshop.flex import shaft_mass_for
from engine.workshop.norms import norm_club

AIR = air_of(REFERENCE)
LOFTS = np.arange(4.0, 22.0, 0.25)


def share_of_best(*, ball_speed_mph, launch_deg, spin_rpm, which):
    """Carry or total of one launch and spin over the best within reach at that ball speed [-]."""
    drawn = launch_map(ball_speed_mph * MPH, AIR)
    flight = fly(Launch.of(ball_speed_mph * MPH, launch_deg=launch_deg, spin_rpm=spin_rpm), AIR)
    if which == "carry":
        return float(flight.carry) / drawn.best.carry_m
    return float(totals(flight)) / drawn.best_total.total_m


def _line(club_speed_mph, attack_deg):
    """Launch [deg], spin [rpm], carry [m] over spin loft `LOFTS` [deg] of a centred 200 g driver at one attack."""
    hit = strike(
        club_speed_mph * MPH, LOFTS * DEGREE, head_mass=0.2, restitution=DRIVER_RESTITUTION, spin_factor=0.8
    )
    launch = hit.angle + attack_deg * DEGREE
    return launch / DEGREE, hit.spin / RPM, fly(Launch(hit.speed, launch, hit.spin), AIR).carry


def share_at_launch(*, club_speed_mph, attack_deg, launch_deg):
    """Carry with the loft that launches so over the best of all lofts, at one attack [-]."""
    launch, _, far = _line(club_speed_mph, attack_deg)
    return float(np.interp(launch_deg, launch, far) / far.max())


def loss_off_best_loft_percent(*, club_speed_mph, attack_deg, off_deg):
    """Carry lost with a loft so far off the best, the worse side [%]."""
    _, _, far = _line(club_speed_mph, attack_deg)
    best, off = int(far.argmax()), round(off_deg / 0.25)
    return float(100 * (1 - min(far[best - off], far[best + off]) / far.max()))


def best_spin_loft(*, club_speed_mph, attack_deg):
    return float(LOFTS[_line(club_speed_mph, attack_deg)[2].argmax()])


def lower_for_slower_sign(*, fast_mph, slow_mph, attack_deg):
    """Sign of the best loft of a slow player less that of a fast one."""
    slow, fast = (best_spin_loft(club_speed_mph=v, attack_deg=attack_deg) for v in (slow_mph, fast_mph))
    return float(np.sign(slow - fast))


def total_wants_sign(*, ball_speed_mph, which):
    """Sign of launch or spin of the longest total less that of the longest carry."""
    drawn = launch_map(ball_speed_mph * MPH, AIR)
    return float(np.sign(getattr(drawn.best_total, which) - getattr(drawn.best, which)))


def attack_asked(*, ball_speed_mph, launch_deg, spin_rpm):
    rise = face_rise(ball_speed_mph * MPH, spin_rpm, head_mass=0.2, spin_factor=0.8)
    return launch_deg - float(rise)


def _prior_driver(speed_mph, length_in=45.5):
    theta = np.array([[p.mean for p in PARAMETERS]])
    clubs = Clubs(np.array([length_in * INCH]), np.array([10.5]), np.array([0.2]), ("driver",))
    theta[0, 0] += np.log(speed_mph * MPH / deliver(theta, clubs).club_speed[0, 0])
    return theta, clubs


def speed_lost_per_inch_mph(*, speed_mph):
    theta, clubs = _prior_driver(speed_mph)
    shorter = Clubs(clubs.length - INCH, clubs.loft, clubs.head, clubs.family)
    return float((deliver(theta, clubs).club_speed - deliver(theta, shorter).club_speed)[0, 0] / MPH)


def length_effect_per_inch():
    return PARAMETERS[INDEX["length_effect"]].mean * INCH


def strike_change(*, toe=0.0, high=0.0, which):
    """A tour-like drive struck off the centre against the same struck in the middle: [deg], [rpm], [%], sign."""
    hit = [
        off_centre(
            Delivery(
                np.array([50.5]),
                np.array([-1.0]),
                np.array([12.5]),
                np.array([74.7]),
                np.array([10.9]),
                np.array([2686 * RPM]),
            ),
            head_mass=0.2,
            toe=t,
            high=h,
        )
        for t, h in ((0.0, 0.0), (toe, high))
    ]
    launch, spin, speed = (
        [float(np.squeeze(getattr(x, n))) for x in hit] for n in ("launch", "spin", "ball_speed")
    )
    tilt = float(np.squeeze(hit[1].axis_tilt)) / DEGREE
    start = float(np.squeeze(hit[1].azimuth))
    return {
        "launch": launch[1] - launch[0],
        "spin": (spin[1] - spin[0]) / RPM,
        "speed": 100 * (speed[1] / speed[0] - 1),
        "tilt": tilt,
        "start": start,
    }[which]


def wood_adds_yd(*, driver_mph, longer, shorter, sex="male"):
    """Carry of one wood over another [yd] by the prior means of a swing of that driver speed."""
    theta, _ = _prior_driver(driver_mph)
    far = carry(theta, deliver(theta, Clubs.of([norm_club(i, sex) for i in (longer, shorter)])), AIR).carry[0]
    return float(far[0] - far[1]) / YARD


def shaft_middle_g(*, speed_mph, family):
    low, high = shaft_mass_for(speed_mph * MPH, family=family)
    return 500 * (low + high)


def wedge_loft_over_spin(*, ball_speed_mph, launch_deg, spin_rpm, launch_by_deg, spin_by_percent):
    """Change of a wedge's carry with launch over its change with spin, both as sizes [-]."""
    base, higher, spun = (
        float(fly(Launch.of(ball_speed_mph * MPH, launch_deg=a, spin_rpm=s), AIR).carry)
        for a, s in (
            (launch_deg, spin_rpm),
            (launch_deg + launch_by_deg, spin_rpm),
            (launch_deg, spin_rpm * (1 + spin_by_percent / 100)),
        )
    )
    return abs(higher - base) / abs(spun - base)


def spin_change_yd(*, ball_speed_mph, launch_deg, spin_rpm, to_rpm):
    """Carry with another spin less that with the first [yd]."""
    a, b = (
        float(fly(Launch.of(ball_speed_mph * MPH, launch_deg=launch_deg, spin_rpm=s), AIR).carry)
        for s in (spin_rpm, to_rpm)
    )
    return (b - a) / YARD


def spin_run_sign(*, ball_speed_mph, launch_deg, spin_rpm, to_rpm):
    """Sign of the change of the run on a green of rating 10 with another spin."""
    flight = fly(
        Launch.of(ball_speed_mph * MPH, launch_deg=launch_deg, spin_rpm=np.array([spin_rpm, to_rpm])), AIR
    )
    run = run_out(flight.speed, flight.descent, flight.spin, turf=GREEN).total
    return float(np.sign(run[1] - run[0]))


def descent_change_sign(*, ball_speed_mph, launch_deg, spin_rpm, to_rpm):
    flight = fly(
        Launch.of(ball_speed_mph * MPH, launch_deg=launch_deg, spin_rpm=np.array([spin_rpm, to_rpm])), AIR
    )
    return float(np.sign(flight.descent[1] - flight.descent[0]))


def wedge_more_by_loft_sign(*, driver_mph, loft_by_deg, spin_by_percent):
    """Whether the prior player's wedge changes carry more with loft than with spin: 1 yes, -1 no."""
    theta, _ = _prior_driver(driver_mph)
    wedge = norm_club("pw")
    clubs = Clubs(
        np.full(2, wedge.length_m),
        np.array([wedge.loft_deg, wedge.loft_deg + loft_by_deg]),
        np.full(2, wedge.head_kg),
        ("wedge", "wedge"),
    )
    spun = theta.copy()
    spun[:, INDEX["spin_factor"]] += np.log(1 + spin_by_percent / 100)
    far = carry(theta, deliver(theta, clubs), AIR).carry[0]
    by_spin = carry(spun, deliver(spun, clubs), AIR).carry[0, 0] - far[0]
    return float(np.sign(abs(far[1] - far[0]) - abs(by_spin)))


def ramp_run_ft(*, green_speed_ft):
    """Run [ft] of a ball let off the ramp rolling at 6.00 ft/s: the green-speed rating itself."""
    speed = 6.0 * 0.3048
    run = putt(speed, green_speed_ft=green_speed_ft, spin_rad_s=speed / BALL_RADIUS)
    return run.total_m / 0.3048


def hole_width_share(*, speed_mps):
    """Width of the hole to a ball of this speed over its real width [-]."""
    return float(capture_offset(speed_mps)) / 0.054


def putt_speed_over_roll(*, distance_m, green_speed_ft):
    """Speed off the face over the speed a rolling ball would need for the same distance [-]."""
    rolling = (2 * (6 * 0.3048) ** 2 / (2 * green_speed_ft * 0.3048) * distance_m) ** 0.5
    return speed_for(distance_m, green_speed_ft=green_speed_ft) / rolling


def backspin_share(*, loft_deg):
    return -face_spin_share(loft_deg=loft_deg)


def fit_of(*, height_m, sex, which):
    """What the fit of a body says of its usual 7-iron: [in], [deg]."""
    fit = body_fit((norm_club("7i", sex),), height_m=height_m, sex=sex)
    return {
        "offset_in": fit.length_offset_m / INCH,
        "lie_change": fit.clubs[0].lie_change_deg,
        "wrist_span_in": 2 * 1.645 * fit.wrist_sd_m / INCH,
        "per_half_inch": fit.clubs[0].per_half_inch_lie_deg,
    }[which]


def usual_points(*, club_id):
    """Swing weight of a usual club in points above A0; D0 is 30."""
    return swing_weight_points(weigh(usual_parts(norm_club(club_id))).moment_inoz)


def _cut(club_id, longer_in):
    parts = usual_parts(norm_club(club_id))
    return parts, with_length(parts, longer_in * INCH)


def cut_points(*, club_id, longer_in):
    """Change of swing weight of a usual club cut or extended at the butt [points]."""
    a, b = (swing_weight_points(weigh(p).moment_inoz) for p in _cut(club_id, longer_in))
    return b - a


def shaft_lost_g(*, club_id, inches):
    before, after = _cut(club_id, -inches)
    return 1000 * (before.shaft - after.shaft)


def inertia_of_cut_kgcm2(*, club_id, longer_in):
    a, b = (1e4 * weigh(p).inertia_kgm2 for p in _cut(club_id, longer_in))
    return b - a
