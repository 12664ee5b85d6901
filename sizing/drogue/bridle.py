"""The bridle: its legs, and what each carries when the boat yaws."""

from __future__ import annotations

import math

import numpy as np

from sizing.drogue.figures import Figure
from sizing.model import FloatArray


def leg_m(transom_width_m: Figure, leg_ratio: float) -> Figure:
    """Finished length of one leg: ratio x distance between the attachments (2.5 [practice]). m, any shape.

    >>> leg_m(3.0, 2.5)
    7.5
    """
    return transom_width_m * leg_ratio


def half_angle_rad(leg_ratio: float) -> float:
    """Angle of a leg to the centreline under straight pull: asin(1 / (2 ratio)).

    The ratio is at least 0.5. rad. [derived]

    >>> round(math.degrees(half_angle_rad(2.5)), 2)
    11.54
    """
    return math.asin(0.5 / leg_ratio)


def straight_leg_load_n(design_load: Figure, half_angle: float) -> Figure:
    """Load of each leg under straight pull: F / (2 cos theta). N; theta in rad, 0 to pi/2. [derived]

    >>> round(straight_leg_load_n(1.0, half_angle_rad(2.5)), 3)
    0.51
    """
    return design_load / (2.0 * math.cos(half_angle))


def leg_curve(design_load: float, yaw_rad: FloatArray, half_angle: float) -> tuple[FloatArray, FloatArray]:
    """Loads of both legs at yaw p: F sin(theta + p) / sin 2 theta and F sin(theta - p) / sin 2 theta.

    The loaded leg first. From p = theta the other is slack and the loaded leg carries all of F. Yaw in rad,
    either sign, shape (m,); loads in N. [derived]
    """
    yaw = np.minimum(np.abs(yaw_rad), half_angle)
    span = math.sin(2.0 * half_angle)
    return design_load * np.sin(half_angle + yaw) / span, design_load * np.sin(half_angle - yaw) / span


def most_leg_share(leg: FloatArray, transom_width: FloatArray) -> FloatArray:
    """Greatest load of one leg at any yaw, over F: 1 while theta <= 45 deg, 1 / sin 2 theta beyond.

    F sin(theta + p) / sin 2 theta is greatest where the leg lies square to the pull, at p = 90 deg - theta;
    with longer legs the other is slack before that. m, (n,); NaN where the legs do not meet. [derived]

    >>> most_leg_share(np.array([7.0, 1.6]), np.array([2.8, 2.8])).round(3).tolist()
    [1.0, 1.18]
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        sine = transom_width / (2.0 * leg)
        sine = np.where(sine < 1.0, sine, np.nan)
        span = 2.0 * sine * np.sqrt(1.0 - sine**2)
        return np.where(sine <= math.sqrt(0.5), 1.0, 1.0 / span)


def yaw_at_share_rad(share: float, half_angle: float) -> float:
    """Yaw at which the loaded leg carries `share` of F: asin(share x sin 2 theta) - theta.

    For shares from the straight pull's to 1; NaN outside. rad. [derived]

    >>> round(math.degrees(yaw_at_share_rad(0.70, half_angle_rad(2.5))), 1)
    4.4
    """
    if not 0.5 / math.cos(half_angle) <= share <= 1.0:
        return math.nan
    return math.asin(share * math.sin(2.0 * half_angle)) - half_angle
