"""The few words of the trade that the screens use, each in one plain sentence."""

from __future__ import annotations

GLOSSARY: dict[str, str] = {
    "address": "How you stand to the ball just before you swing.",
    "apex": "The highest point of the ball\u2019s flight.",
    "attack angle": "How steeply the club head is moving down (minus) or up (plus) when it meets the ball.",
    "ball speed": "How fast the ball leaves the club face.",
    "bounce": (
        "The angle by which the sole\u2019s trailing edge sits below its leading edge; it keeps a wedge from "
        "digging in."
    ),
    "carry": "How far the ball flies before it first touches the ground.",
    "cast": "A head poured into a mould; it can be bent less than a forged one before it cracks.",
    "club speed": "How fast the club head is moving when it meets the ball.",
    "common length": "The one length that all irons share in a single-length set.",
    "descent": "The angle at which the ball comes down; the steeper, the sooner it stops.",
    "fairway wood": "A long club with a large rounded head, made to hit off the grass as well as off a tee.",
    "flex": "How much the shaft bends when you swing.",
    "forged": "A head hammered from soft steel; it can be bent more than a cast one.",
    "gap": "The difference in carry between one club and the next.",
    "grip down": "To hold the club lower on the grip than usual, which makes it shorter.",
    "head mass": "The weight of the club head on its own.",
    "hip hinge": "How far you lean forward from the hips at address.",
    "hosel": "The socket of the head that the shaft is glued into.",
    "hybrid": "A club between a fairway wood and an iron, easier to hit high than a long iron.",
    "launch": "The angle at which the ball leaves the face, measured up from the ground.",
    "layout": "One way of setting up your clubs: their lengths, lofts and head weights.",
    "lie": "The angle between shaft and ground when the sole of the club lies flat.",
    "loft": "How far the face leans back from upright.",
    "mishit": "A shot struck so badly that it says nothing about the club.",
    "moment of inertia": "How hard the whole club, or its head, is to turn; the higher, the harder.",
    "offline": "How far left or right of the target line a shot lands.",
    "part swing": "A swing that is less than full, such as one that stops at hip height.",
    "range ball": "A practice ball, which usually flies shorter than a good one.",
    "run": "How far the ball rolls on after it lands.",
    "spin": "How fast the ball turns backwards in flight, in turns a minute (rpm).",
    "spin loft": "The angle between the way the face points and the way the head is moving; more of it means more spin.",
    "standard air": "20 \u00b0C or 68 \u00b0F, sea level, half humidity and no wind.",
    "swing weight": "How heavy the head feels when you swing, on a scale of letters and numbers such as D2.",
    "tip trim": "To cut a shaft at its thin end, which makes it stiffer.",
    "toe": "The end of the head farthest from the shaft.",
    "total": "Carry and run together.",
    "wedge": "A short iron with a lot of loft, for short shots to the green.",
    "wingspan": "Fingertip to fingertip with both arms stretched out to the sides.",
    "wrist to floor": "From the crease of the wrist down to the floor with the arms hanging.",
    "90 % range": "The range that should hold the true value nine times in ten.",
}
