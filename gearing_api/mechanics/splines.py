"""Diameters of involute splines, ANSI B92.1-1970.

The standard names a size by two pitches, as 24/48: the first, in teeth per inch of pitch diameter, is the
`diametral_pitch` here; the second is twice it. The pitch stays per inch, as it is the name of the size.
"""

from dataclasses import dataclass
from math import cos, radians

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, DomainError, positive, require

INCH = 0.0254


@dataclass(frozen=True)
class Form:
    """One form of the standard: what is added to the tooth count before dividing by the pitch.

    The external root may change at 16/32, the first of the fine pitches.
    """

    pressure_angle: float
    internal_major: float
    internal_minor: float
    external_minor: float
    external_minor_fine: float


FORMS = {
    "flat-root-side-fit": Form(radians(30.0), 1.35, -1.0, -1.35, -1.35),
    "flat-root-major-fit": Form(radians(30.0), 1.0, -1.0, -1.35, -1.35),
    "fillet-root-30": Form(radians(30.0), 1.8, -1.0, -1.8, -2.0),
    "fillet-root-37.5": Form(radians(37.5), 1.6, -0.8, -1.3, -1.3),
    "fillet-root-45": Form(radians(45.0), 1.4, -0.6, -1.0, -1.0),
}
FIRST_FINE_PITCH = 16.0


def pitch_diameter(teeth: ArrayLike, diametral_pitch: ArrayLike) -> Array:
    r"""Diameter at which the tooth spacing is measured.

    .. math:: D = N / P

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 0. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(pitch_diameter(27, 24)) / 0.0254, 4)
    1.125
    """
    return _diameter(teeth, diametral_pitch, 0.0)


def base_diameter(teeth: ArrayLike, diametral_pitch: ArrayLike, form: str = "fillet-root-30") -> Array:
    r"""Diameter of the base circle of the involute.

    .. math:: D_b = D \cos\phi

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 0. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]
    form : str
        A key of `FORMS`; the 30 degree fillet root unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If a number is not finite and positive, or the form is unknown.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(base_diameter(24, 24)) / 0.0254, 4)
    0.866
    """
    return pitch_diameter(teeth, diametral_pitch) * cos(_form(form).pressure_angle)


def external_major_diameter(teeth: ArrayLike, diametral_pitch: ArrayLike) -> Array:
    r"""Largest diameter of the shaft, over the tips of its teeth.

    .. math:: D_o = (N + 1) / P

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 0. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(external_major_diameter(35, 24)) / 0.0254, 4)
    1.5
    """
    return _diameter(teeth, diametral_pitch, 1.0)


def external_minor_diameter(
    teeth: ArrayLike, diametral_pitch: ArrayLike, form: str = "fillet-root-30"
) -> Array:
    r"""Root diameter of the shaft, which carries the torque.

    The 30 degree fillet root takes (N - 1.8) / P up to 12/24 and (N - 2) / P from 16/32 on.

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 2. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]
    form : str
        A key of `FORMS`; the 30 degree fillet root unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If a number is not finite and in its range, or the form is unknown.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(external_minor_diameter(35, 24)) / 0.0254, 4)
    1.375
    """
    root = _form(form)
    fine = np.greater_equal(diametral_pitch, FIRST_FINE_PITCH)
    return _diameter(teeth, diametral_pitch, np.where(fine, root.external_minor_fine, root.external_minor))


def internal_major_diameter(
    teeth: ArrayLike, diametral_pitch: ArrayLike, form: str = "fillet-root-30"
) -> Array:
    r"""Root diameter of the hub.

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 2. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]
    form : str
        A key of `FORMS`; the 30 degree fillet root unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If a number is not finite and in its range, or the form is unknown.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(internal_major_diameter(30, 24)) / 0.0254, 4)
    1.325
    """
    return _diameter(teeth, diametral_pitch, _form(form).internal_major)


def internal_minor_diameter(
    teeth: ArrayLike, diametral_pitch: ArrayLike, form: str = "fillet-root-30"
) -> Array:
    r"""Bore of the hub, over the tips of its teeth.

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 2. [-]
    diametral_pitch : array_like
        Teeth per inch of pitch diameter, > 0. [1/in]
    form : str
        A key of `FORMS`; the 30 degree fillet root unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If a number is not finite and in its range, or the form is unknown.

    References
    ----------
    .. [1] ANSI B92.1-1970, basic dimensions, as reproduced in two public tables.

    Examples
    --------
    >>> round(float(internal_minor_diameter(31, 24)) / 0.0254, 4)
    1.25
    """
    return _diameter(teeth, diametral_pitch, _form(form).internal_minor)


def _diameter(teeth: ArrayLike, diametral_pitch: ArrayLike, addend: float | Array) -> Array:
    counted = positive("teeth", teeth) + addend
    require("teeth", counted > 0.0, "more than 2")
    return INCH * counted / positive("diametral_pitch", diametral_pitch)


def _form(name: str) -> Form:
    if name not in FORMS:
        raise DomainError("form", "one of " + ", ".join(FORMS))
    return FORMS[name]
