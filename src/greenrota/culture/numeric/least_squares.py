"""Least squares for any smooth model: Levenberg-Marquardt, standard errors, profile intervals.

A model is a function from parameters (length p) to residuals (length n), each already divided by its error if
the errors are known. Residuals that are not finite mark parameters outside the model; steps there are not taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from greenrota.culture.numeric.undetermined import Undetermined

Vector = NDArray[np.float64]
Residuals = Callable[[Vector], Vector]
# gives the n x p derivatives of the residuals
Slopes = Callable[[Vector], Vector]

_STEPS_MOST = 200  # our choice: certified problems need under 30
_DAMPING_START = 1e-3  # Marquardt (1963)
_DAMPING_MOST = 1e16  # our choice: a step this short no longer moves a float
_TOLERANCE = 1e-11  # our choice: last step as a share of a parameter; leaves ten digits and more
_ROUNDING = 1e-14  # our choice: some tens of units in the last place of a sum of squares
_STENCIL = (
    float(np.finfo(float).eps) ** 0.2
)  # step that balances h^4 truncation and rounding, derived by hand


@dataclass(frozen=True, slots=True)
class Fit:
    """A least-squares optimum.

    `covariance` and `standard_errors` take the scatter from the residuals (rss / dof) unless the fit was told that
    errors are known. `rss` is the residual sum of squares, `dof` points less parameters, `scatter` the variance of a
    residual that the errors were worked out with: rss / dof, or 1.
    """

    parameters: Vector
    standard_errors: Vector
    covariance: Vector
    rss: float
    dof: int
    scatter: float


def least_squares(
    residuals: Residuals,
    start: Vector | list[float],
    slopes: Slopes | None = None,
    known_errors: bool = False,
) -> Fit:
    """Parameters that make the sum of squared residuals least, from a start inside the model.

    `residuals` maps p parameters to n residuals; `slopes` to their n x p derivatives (worked out with a
    five-point stencil if left out). Raises Undetermined when n < p, or n = p with unknown errors, or when some mix of
    parameters does not change the residuals; ValueError when the start gives residuals that are not finite.
    Source: Levenberg (1944), Marquardt (1963); covariance (J'J)^-1 as in Bates & Watts (1988) ch. 2.

    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> line = least_squares(lambda p: p[0] + p[1] * x - np.array([1.0, 3.0, 5.0, 8.0]), [0.0, 0.0])
    >>> line.parameters.round(3).tolist()
    [0.8, 2.3]
    """
    best = np.array(start, dtype=float)
    first = residuals(best)
    if not np.all(np.isfinite(first)):
        raise ValueError("the start lies outside the model")
    dof = len(first) - len(best)
    if dof < 0 or (dof == 0 and not known_errors):
        raise Undetermined(f"{len(first)} points do not tell {len(best)} parameters")
    best = _descend(residuals, slopes, best, _TOLERANCE)
    last = residuals(best)
    rss = float(last @ last)
    jacobian = _jacobian(residuals, slopes, best)
    scatter = 1.0 if known_errors else rss / dof
    covariance = inverse_of_square(jacobian) * scatter
    return Fit(best, np.sqrt(np.diag(covariance)), covariance, rss, dof, scatter)


def minimum(
    residuals: Residuals, start: Vector, slopes: Slopes | None = None, tolerance: float = 1e-5
) -> tuple[Vector, float]:
    """The optimum and its residual sum of squares, without errors: for profiles and for comparing starts.

    `tolerance` is the last step as a share of each parameter; the sum of squares is good to its square.
    """
    best = _descend(residuals, slopes, np.array(start, dtype=float), tolerance) if len(start) else start
    last = residuals(best)
    rss = float(last @ last)
    return best, rss if np.isfinite(rss) else float("inf")


def _descend(residuals: Residuals, slopes: Slopes | None, best: Vector, tolerance: float) -> Vector:
    """Damped Gauss-Newton steps, damping in proportion to the curvature of each parameter, until one is short.

    A step that leaves the sum of squares unchanged within rounding is taken too; that finds the last digits.
    """
    off = residuals(best)
    rss = float(off @ off)
    damping = _DAMPING_START
    for _ in range(_STEPS_MOST):
        jacobian = _jacobian(residuals, slopes, best)
        if not np.all(np.isfinite(jacobian)):
            return best
        lengths = np.sqrt(np.sum(jacobian**2, axis=0))
        lengths[lengths == 0.0] = 1.0
        while damping <= _DAMPING_MOST:
            step = _damped_step(jacobian / lengths, off, damping) / lengths
            tried = residuals(best + step)
            tried_rss = float(tried @ tried)
            if tried_rss <= rss * (1.0 + _ROUNDING):
                break
            damping = max(damping * 10.0, 1e-12)
        else:
            return best
        best, off, rss = best + step, tried, tried_rss
        damping /= 10.0
        if np.all(np.abs(step) <= tolerance * (np.abs(best) + tolerance)):
            return best
    return best


def _damped_step(scaled: Vector, off: Vector, damping: float) -> Vector:
    """The damped step, from J with extra rows for the damping; forming J'J would lose half of the digits."""
    size = scaled.shape[1]
    stacked = np.vstack([scaled, np.sqrt(damping) * np.eye(size)])
    right = np.concatenate([-off, np.zeros(size)])
    step: Vector = np.linalg.lstsq(stacked, right, rcond=None)[0]
    return step


def _jacobian(residuals: Residuals, slopes: Slopes | None, at: Vector) -> Vector:
    if slopes is not None:
        return slopes(at)
    columns: list[Any] = []
    for index in range(len(at)):
        step = np.zeros(len(at))
        step[index] = _STENCIL * max(abs(at[index]), 1e-6)
        near = residuals(at + step) - residuals(at - step)
        far = residuals(at + 2.0 * step) - residuals(at - 2.0 * step)
        columns.append((8.0 * near - far) / (12.0 * step[index]))
    return np.column_stack(columns)


def inverse_of_square(jacobian: Vector) -> Vector:
    """(J'J)^-1, the covariance in units of the scatter, by singular values of the scaled Jacobian.

    Raises Undetermined when a parameter, or a combination of them, does not change the residuals.
    """
    lengths = np.sqrt(np.sum(jacobian**2, axis=0))
    if not np.all(np.isfinite(lengths)) or np.any(lengths == 0.0):
        raise Undetermined("a parameter does not change the residuals")
    _, sizes, turned = np.linalg.svd(jacobian / lengths, full_matrices=False)
    if sizes[-1] <= sizes[0] * len(jacobian) * np.finfo(float).eps:
        raise Undetermined("a mix of parameters does not change the residuals")
    inverse: Vector = (turned.T / sizes**2) @ turned / np.outer(lengths, lengths)
    return inverse
