"""An adjustable sleeve: what its setting does to the loft played and to how the face sits.

The sleeve tilts the head on the shaft. Soled flat again, the head turns about the shaft, so that more loft comes with a
closed face: geometry, derived. The trade says about 2 deg of face for a degree of a driver's loft (common practice).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..documents.case import Club
from ..units import DEGREE


def face_closed(*, sleeve_deg: ArrayLike, lie_deg: ArrayLike) -> Any:
    """How far closed [deg] the face of a club soled flat sits, for a sleeve that adds so much loft [deg]: ``s tan(lie)``.

    A turn about the shaft by ``t`` pitches the head by ``t cos(lie)`` and closes the face by ``t sin(lie)``; an open face
    is negative.
    """
    return np.asarray(sleeve_deg, float) * np.tan(np.asarray(lie_deg, float) * DEGREE)


def face_of(club: Club) -> float:
    """How far closed [deg] a club's face sits by its sleeve; 0 where no sleeve is set."""
    return float(face_closed(sleeve_deg=club.sleeve_deg or 0.0, lie_deg=club.lie_deg))
