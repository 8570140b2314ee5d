"""Formulas: pure functions, SI in and SI out, on float64 arrays that broadcast.

Angles are in rad, rotational speeds in rad/s, grades are the tangent of the slope angle.
"""
