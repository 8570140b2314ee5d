"""Diameters of involute splines, ANSI B92.1-1970.

The standard names a size by two pitches, as 24/48: the first, in teeth per inch of pitch diameter, is the
`diametral_pitch` here; the second is twice it. The pitch stays per inch, as it is the name of the size.
"""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, positive, require

INCH = 0.0254
FIRST_FINE_PITCH = 16.0


def external_minor_diameter(teeth: ArrayLike, diametral_pitch: ArrayLike) -> Array:
    r"""Root diameter of a shaft with the 30 degree fillet root; it carries the torque.

    .. math:: D_{re} = (N - 1.8) / P \text{ up to } 12/24, \quad (N - 2) / P \text{ from } 16/32 \text{ on}

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 2. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite or lies outside its range.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(external_minor_diameter(35, 24)) / 0.0254, 4)
    1.375
    """
    pitch = positive("diametral_pitch", diametral_pitch)
    counted = positive("teeth", teeth) - np.where(pitch >= FIRST_FINE_PITCH, 2.0, 1.8)
    require("teeth", counted > 0.0, "more than 2")
    return INCH * counted / pitch
