"""The case document: everything known about one player (`engine.documents.reading` reads it).

Units are SI, angles are degrees, spin is rpm; ``None`` means not known.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

FORMAT = "fettle-case"
STORE_FORMAT = "fettle-store"  # a file of all players, one case document each
VERSION = 2  # with part swings, or balls of several days: an older program would take them for full ones, or for one day's

Path = tuple[str | int, ...]
"""The way to a part of a document: field names, ids of a list's entries, or their numbers where they have no id."""


class CaseError(ValueError):
    """A case document that cannot be used: ``str(error)`` is one line, ``field: problem``."""

    def __init__(self, field: str, problem: str):
        super().__init__(f"{field}: {problem}")
        self.field = field
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Player:
    """Who swings. Lengths in [m].

    ``id`` is random and the same in every copy of a player, so that copies find one another; ``note`` and ``tags`` are
    the coach's own words.
    """

    label: str = ""
    sex: str | None = None
    handed: str = "right"
    height_m: float | None = None
    wingspan_m: float | None = None
    wrist_to_floor_m: float | None = None
    hand_length_m: float | None = None
    id: str | None = None
    note: str = ""
    tags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Swing:
    """What the player states of the swing. Speeds in [m/s]; attack [deg], upward positive, ``attack_deg`` the driver's;
    lean of the putter's shaft toward the target [deg].
    """

    driver_speed_mps: float | None = None
    iron7_speed_mps: float | None = None
    attack_deg: float | None = None
    iron7_attack_deg: float | None = None
    putter_lean_deg: float | None = None
    putter_attack_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Club:
    """One club of the bag. Length in [m], angles in [deg], head mass in [kg].

    ``shaft_kg`` is the mass of the shaft as cut, ``tip_trim_m`` what was cut off its tip, ``butt_trim_m`` what the bench cut
    off its butt since it was made, or put on it if negative; ``sleeve_deg`` the loft that an adjustable sleeve adds to
    ``loft_deg``. ``lie_mark_m`` is how far from the sole's middle a lie board marked it [m], toward the heel
    positive. ``bend_limit_deg`` is how far the head may be bent from how it came, ``bent_loft_deg`` (weak positive) and
    ``bent_lie_deg`` (upright positive) how far the bench has bent it since [deg], not at all where they are not said;
    ``..._most_deg`` how far it stood at most from how it came, ``..._sum_deg`` all bends added up, there and back, where
    either is more than that (`engine.workshop.bending.history`).
    ``swing_weight_inoz`` is the static moment about the 14 in fulcrum as a scale showed it [in oz], ``wished_inoz`` the one
    that is wanted still, where the bench left the club lighter or heavier than that. ``became``
    is the id of the club that this one was made into at the bench: it is carried no more, and kept as it was for the balls
    that were hit with it.

    ``measured`` names those of `FIGURES` that were measured (one that is not the usual one needs no saying), ``ordered``
    those that a bench was to make so and that nobody has measured since. ``estimated`` names each of `FIGURES` that nobody
    knows, with the standard deviation of what is taken for it (`engine.workshop.estimates`); the document holds ``null``
    for it.
    """

    id: str
    name: str
    family: str
    length_m: float
    loft_deg: float
    lie_deg: float
    head_kg: float
    bounce_deg: float | None = None
    head_material: str | None = None
    bend_limit_deg: float | None = None
    bent_loft_deg: float | None = None
    bent_lie_deg: float | None = None
    bent_loft_most_deg: float | None = None
    bent_loft_sum_deg: float | None = None
    bent_lie_most_deg: float | None = None
    bent_lie_sum_deg: float | None = None
    became: str | None = None
    lie_mark_m: float | None = None
    shaft_kg: float | None = None
    shaft_flex: str | None = None
    tip_trim_m: float | None = None
    butt_trim_m: float | None = None
    grip_kg: float | None = None
    sleeve_deg: float | None = None
    swing_weight_inoz: float | None = None
    wished_inoz: float | None = None
    measured: tuple[str, ...] = ()
    ordered: tuple[str, ...] = ()
    estimated: tuple[tuple[str, float], ...] = ()

    @property
    def played_loft_deg(self) -> float:
        """Loft [deg] as the sleeve is set."""
        return self.loft_deg + (self.sleeve_deg or 0.0)

    def known(self, **figures: float) -> Club:
        """The club with some of its figures known to be so."""
        left = tuple(one for one in self.estimated if one[0] not in figures)
        values: dict[str, Any] = dict(figures)
        return dataclasses.replace(self, **values, estimated=left)

    def unknown(self, *names: str) -> Club:
        """The club with some of its figures not known; what stands there until they are estimated means nothing."""
        had = dict(self.estimated)
        values: dict[str, Any] = {name: sum(FIGURES[name]) / 2 for name in names}
        more = tuple((name, 0.0) for name in names if name not in had)
        return dataclasses.replace(self, **values, estimated=(*self.estimated, *more))


BUILT = "built"
"""The id of the layout that a build leaves: the set as it came out, which is in the bag."""

FIGURES = {"length_m": (0.45, 1.35), "loft_deg": (-5.0, 80.0), "lie_deg": (40.0, 85.0), "head_kg": (0.1, 0.6)}
"""What is built of a club, each with the least and the most that a document may say [m], [deg], [kg]."""


SWING_WEIGHT = "swing_weight_inoz"


@dataclass(frozen=True, slots=True)
class Shot:
    """One shot, or what was measured of it. [m], [m/s], [deg], [rpm].

    ``use`` false leaves it out altogether; ``keep`` true counts it even where the mishit rule would set it aside.
    ``balls`` above 1 says that the values are means of so many balls, as where only a club's average is known;
    ``carry_sd_m`` is then the standard deviation of their carries, where it is known too. ``layout`` is the id of the
    layout whose clubs hit a ball of the re-test, as far as it is known; among the shots it marks balls of the re-test of
    a set that is in the bag. ``swing_size`` is the id of the part swing that
    hit it, a full swing if ``None``. ``session`` is the id of the session in which it was hit; balls without one make up
    one more session, in the conditions of the case. ``id`` is random and stays with the ball; ``by`` is who added it,
    such as "student", in words that nobody vouches for.
    """

    club: str
    carry_m: float | None = None
    grip_down_m: float = 0.0
    ball_speed_mps: float | None = None
    launch_deg: float | None = None
    spin_rpm: float | None = None
    club_speed_mps: float | None = None
    side_m: float | None = None
    use: bool = True
    keep: bool = False
    balls: float = 1.0
    carry_sd_m: float | None = None
    layout: str | None = None
    swing_size: str | None = None
    session: str | None = None
    id: str | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class SwingSize:
    """A part swing of the player's own, named in plain words, such as "to the hip".

    ``clubs`` are the ids of the clubs it is meant for, every wedge where there are none.
    """

    id: str
    name: str
    clubs: tuple[str, ...] = ()

    def meant_for(self, club: Club) -> bool:
        """Whether it is meant for a club."""
        return club.id in self.clubs or (not self.clubs and club.family == "wedge")


@dataclass(frozen=True, slots=True)
class Measured:
    """A club of a layout as it was measured at the bench once it was built; what is ``None`` was not measured.

    Length in [m], angles in [deg], head mass in [kg], swing weight as moment about the 14 in fulcrum in [in oz].
    ``layout`` is the id of the layout to which it was built, the present set if ``None``.
    """

    club: str
    layout: str | None = None
    length_m: float | None = None
    loft_deg: float | None = None
    lie_deg: float | None = None
    head_kg: float | None = None
    swing_weight_inoz: float | None = None


@dataclass(frozen=True, slots=True)
class Conditions:
    """The air in which shots were hit. ``wind_mps`` is the wind of a weather report, at 10 m over open ground;
    ``wind_from_deg``: 0 is straight into the player, 90 from the right.

    ``noted`` says that somebody knows the weather to have been that of standard air; any other air was noted by itself.

    ``range_ball_factor`` is the carry of these range balls over that of a good ball, ``range_ball_sd`` how far it may be
    off; the prior of `engine.swing.parameters` where they are ``None``.
    """

    temperature_c: float = 20.0
    altitude_m: float = 0.0
    humidity: float = 0.5
    wind_mps: float = 0.0
    wind_from_deg: float = 0.0
    indoors: bool = False
    range_ball: bool = False
    range_ball_factor: float | None = None
    range_ball_sd: float | None = None
    noted: bool = False


@dataclass(frozen=True, slots=True)
class Session:
    """One day's hitting in one place. ``date`` as ``2031-05-03``, ``place`` and ``balls`` (which were hit) in the player's
    words.

    ``conditions`` are those of the case where they are ``None``; ``layout`` is the id of the layout whose clubs were hit, as
    far as it is known. ``by`` is who added it, as for a ball.
    """

    id: str
    date: str | None = None
    place: str = ""
    conditions: Conditions | None = None
    balls: str = ""
    layout: str | None = None
    note: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True)
class JobClub:
    """A club in the job record, with its figures as they were ordered, built or measured; units as for `Measured`.
    ``begin_lie``: the lie ordered is only a start.
    """

    id: str
    name: str = ""
    length_m: float | None = None
    loft_deg: float | None = None
    lie_deg: float | None = None
    head_kg: float | None = None
    swing_weight_inoz: float | None = None
    begin_lie: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """One thing that was done for a player, and the day, as ``2031-05-03``.

    ``what`` is ``ordered``, ``built`` or ``measured``, of ``clubs``, or ``lesson``, or ``note`` for anything else, in the
    words of ``note``.
    """

    id: str
    what: str
    date: str | None = None
    clubs: tuple[JobClub, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class LayoutClub:
    """A club of an asked-for layout; what is ``None`` follows from the layout's kind and from the bag. ``begin_lie``: its
    lie is only a start, which the body asks for, be it stated or the one that the club has by now.
    """

    id: str
    length_m: float | None = None
    loft_deg: float | None = None
    lie_deg: float | None = None
    head_kg: float | None = None
    begin_lie: bool = False


@dataclass(frozen=True, slots=True)
class LeftAsIs:
    """A figure of a club that came out other than ordered and is left so: its name, what was ordered [m], [deg], [kg] or
    [in oz], and why, one of `engine.documents.fields.WHYS`.
    """

    club: str
    figure: str
    ordered: float
    why: str


@dataclass(frozen=True, slots=True)
class Layout:
    """A set to be predicted. ``length_step_m`` is the step between neighbouring irons of a stepped layout; ``built_as`` the
    kind that lengths which the clubs have by now were laid out as; ``as_is`` what of a set that was built stays other than
    ordered.
    """

    id: str
    kind: str
    common_length_m: float | None = None
    second_length_m: float | None = None
    length_step_m: float | None = None
    clubs: tuple[LayoutClub, ...] = ()
    built_as: str | None = None
    as_is: tuple[LeftAsIs, ...] = ()


@dataclass(frozen=True, slots=True)
class WantedCarry:
    """Carry [m] asked of a club."""

    id: str
    carry_m: float


@dataclass(frozen=True, slots=True)
class Faced:
    """A distance the player faces [m], and how often against the others [-]."""

    distance_m: float
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class BallSpin:
    """Spin of another ball against the one that was hit, as factors [-] off the driver and off the wedges."""

    driver_spin: float = 1.0
    wedge_spin: float = 1.0


@dataclass(frozen=True, slots=True)
class Wants:
    """What the player asks for.

    ``air`` is the air in which carries are predicted, ``layout`` the id of the layout to be built (the present set if
    ``None``), ``clubs_most`` how many clubs may be carried, ``green_speed_m`` the roll-out that states a green's
    speed. The lofts of every layout are bent for ``carries``, else for ``gap_m`` between neighbours, else, with
    ``lofts`` at ``even_gaps``, for even gaps, as far as the heads allow; with none of these they stay. With
    ``lies`` at ``fitted`` every layout takes the lies that suit the player. ``matters`` is what matters most to the player,
    first things first. ``least_bend_deg`` is the least bend that is worth ordering, what the machine repeats;
    ``length_step_m`` the step [m] in which the bench cuts lengths; ``change_worth_m`` by how
    much [m] a bought club must bring the player nearer, on average, to the distances faced. ``air_on`` is the day on
    which ``air`` was last set, as ``2031-05-03``; ``cold_ball`` says that balls are as cold as that air, ``wet_face``
    that faces are wet: these two are of what is played, the card and the shot at hand, and not of how sets compare.
    ``part_gap_m`` is the widest gap [m] wanted between neighbouring carries of the wedges, part swings among them. A
    session that lies ``half_life_days`` before the newest counts half as much, one twice as far back a quarter; all count
    alike if ``None``. ``built_to`` is what each iron and wedge in the bag was promised to carry in the reference air when
    it was built to what is asked of lofts, to be bent again only where its balls tell that it does not; empty once
    something else is asked for.
    """

    gap_m: float | None = None
    longest_iron: str | None = None
    layout: str | None = None
    clubs_most: float | None = None
    green_speed_m: float | None = None
    carries: tuple[WantedCarry, ...] = ()
    demand: tuple[Faced, ...] = ()
    ball: BallSpin | None = None
    air: Conditions | None = None
    lofts: str | None = None
    lies: str | None = None
    matters: tuple[str, ...] = ()
    least_bend_deg: float | None = None
    length_step_m: float | None = None
    change_worth_m: float | None = None
    part_gap_m: float | None = None
    air_on: str | None = None
    cold_ball: bool = False
    wet_face: bool = False
    half_life_days: float | None = None
    built_to: tuple[WantedCarry, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """A whole case document, checked.

    ``retest`` holds shots hit after the build, in the same conditions, with the clubs of ``wants.layout`` unless the shot
    names another; once that set is in the bag, as the layout `BUILT`, they are read as shots like any other; ``bench`` what
    was measured of clubs that are being built; ``swing_sizes`` the player's own part swings;
    ``sessions`` the days on which balls were hit, in any order; ``jobs`` what was ordered, built and measured;
    ``removed`` the ids of balls that were taken out of some copy of this player; ``shares`` the marks of the copies that
    were sent or taken in on the way here, newest last (`engine.documents.merge`); ``extra`` keys this version does not
    know, for the round trip.
    """

    player: Player = Player()
    swing: Swing = Swing()
    bag: tuple[Club, ...] = ()
    shots: tuple[Shot, ...] = ()
    conditions: Conditions = Conditions()
    layouts: tuple[Layout, ...] = ()
    wants: Wants = Wants()
    retest: tuple[Shot, ...] = ()
    bench: tuple[Measured, ...] = ()
    swing_sizes: tuple[SwingSize, ...] = ()
    sessions: tuple[Session, ...] = ()
    jobs: tuple[Job, ...] = ()
    removed: tuple[str, ...] = ()
    shares: tuple[str, ...] = ()
    extra: Mapping[Path, Any] = field(default_factory=dict)

    def to_doc(self) -> dict[str, Any]:
        """The JSON document of this case, of the oldest version that can hold it; unknown keys that came in go out again."""
        doc: dict[str, Any] = {"format": FORMAT, "version": 1}
        for part in PARTS:
            doc[part] = _plain(getattr(self, part))
        if _newer(doc) or self.swing_sizes:
            doc["version"] = VERSION
        for entry in doc["bag"]:
            entry.update(dict.fromkeys(name for name, _ in entry.pop("estimated")))
        _merge(doc, self.extra)
        return doc

    def without_shots(self, numbers: Collection[int], *, of: Literal["shots", "retest"] = "shots") -> Case:
        """The case without some of its shots; unknown keys stay with the shots that had them."""
        shots: tuple[Shot, ...] = getattr(self, of)
        stay = [n for n in range(len(shots)) if n not in numbers]
        places = {old: new for new, old in enumerate(stay)}
        extra: dict[Path, Any] = {}
        for path, keys in self.extra.items():
            if path[:1] != (of,):
                extra[path] = keys
            elif path[1] in places:
                extra[of, places[int(path[1])]] = keys
        changed: dict[str, Any] = {of: tuple(shots[n] for n in stay)}
        return dataclasses.replace(self, extra=extra, **changed)

    def among_shots(self, numbers: Collection[int], *, layout: str | None) -> Case:
        """The case with some balls of the re-test among the shots, as hit with the clubs of ``layout``; unknown keys go
        with them."""
        shots = tuple(dataclasses.replace(self.retest[n], layout=layout) for n in numbers)
        extra: dict[Path, Any] = {
            ("shots", len(self.shots) + to): self.extra["retest", n]
            for to, n in enumerate(numbers)
            if ("retest", n) in self.extra
        }
        case = self.without_shots(numbers, of="retest")
        return dataclasses.replace(case, shots=(*case.shots, *shots), extra={**case.extra, **extra})

    def hit_as_built(self) -> Case:
        """The case with the balls of a re-test of the built set among the shots: they are balls of the clubs in the bag."""
        if not any(one.id == BUILT and one.kind == "present" for one in self.layouts):
            return self
        numbers = [n for n, s in enumerate(self.retest) if (s.layout or self.wants.layout) == BUILT]
        return self.among_shots(numbers, layout=BUILT) if numbers else self

    @property
    def carried(self) -> tuple[Club, ...]:
        """The clubs of the bag as it is now, without those that were made into others."""
        return tuple(club for club in self.bag if club.became is None)

    @property
    def full_shots(self) -> tuple[Shot, ...]:
        """The shots hit with a full swing."""
        return tuple(shot for shot in self.shots if shot.swing_size is None)

    def club(self, club_id: str) -> Club:
        """The bag's club with this id; `KeyError` if there is none."""
        for club in self.bag:
            if club.id == club_id:
                return club
        raise KeyError(club_id)


PARTS = (
    "player",
    "swing",
    "bag",
    "shots",
    "conditions",
    "layouts",
    "wants",
    "retest",
    "bench",
    "swing_sizes",
    "sessions",
    "jobs",
    "removed",
    "shares",
)
"""The parts of a document beside its heading."""

OF_BALL = ("session", "id", "by")  # of a shot, what version 1 has not
OF_PLAYER = ("id", "note", "tags")
BENDS = tuple(f"bent_{angle}_{what}_deg" for angle in ("loft", "lie") for what in ("most", "sum"))
EMPTY: dict[str, Any] = {
    "note": "",
    "tags": [],
    "sessions": [],
    "jobs": [],
    "removed": [],
    "shares": [],
    "noted": False,
    "begin_lie": False,
    "as_is": [],
    "built_to": [],
}


def _newer(doc: dict[str, Any]) -> bool:
    """Whether version 1 would take the balls of a document for others than they are: for one day's, or for hit in other
    conditions. All other new keys an older program hands on unread; those that hold nothing are taken out here.
    """
    places: list[tuple[dict[str, Any], tuple[str, ...]]]
    places = [
        (doc, ("sessions", "jobs", "removed", "shares")),
        (doc["player"], OF_PLAYER),
        (doc["wants"], ("half_life_days", "built_to")),
    ]
    places += [(club, (*BENDS, "wished_inoz")) for club in doc["bag"]]
    places += [(layout, ("built_as", "as_is")) for layout in doc["layouts"]]
    places += [(club, ("begin_lie",)) for of in (*doc["layouts"], *doc["jobs"]) for club in of["clubs"]]
    airs = (doc["conditions"], doc["wants"]["air"], *(one["conditions"] for one in doc["sessions"]))
    places += [(air, ("noted",)) for air in airs if isinstance(air, dict)]
    places += [(shot, OF_BALL) for name in ("shots", "retest") for shot in doc[name]]
    for entry, names in places:
        for name in names:
            if entry[name] == EMPTY.get(name):
                del entry[name]
    days, again = ({repr(shot.get("session")) for shot in doc[name]} for name in ("shots", "retest"))
    usual = (None, doc["conditions"])
    apart = {repr(one["id"]) for one in doc.get("sessions", ()) if one["conditions"] not in usual}
    return len(days) > 1 or bool(apart & (days | again))


_LEAVES = frozenset((str, float, int, bool, type(None)))


def _plain(value: Any) -> Any:
    kind = type(value)
    if kind in _LEAVES:
        return value
    if kind is tuple:
        return [_plain(item) for item in value]
    names = _names(kind)  # type: ignore[arg-type]  # a class is hashable
    if names is None:
        return value
    return {name: item if type(item := getattr(value, name)) in _LEAVES else _plain(item) for name in names}


@cache
def _names(kind: type) -> tuple[str, ...] | None:
    """The names of a dataclass's fields; none of any other type."""
    return tuple(f.name for f in dataclasses.fields(kind)) if dataclasses.is_dataclass(kind) else None


def _merge(doc: Any, extra: Mapping[Path, Any]) -> None:
    """Put unknown keys back: ``extra`` maps the way to their container to the keys."""
    for path, keys in extra.items():
        target = doc
        try:
            for step in path:
                if isinstance(target, list) and isinstance(step, str):
                    target = next(entry for entry in target if entry["id"] == step)
                else:
                    target = target[step]
            target.update(keys)
        except (AttributeError, IndexError, KeyError, StopIteration, TypeError):
            continue  # the entry that held them has been taken out
