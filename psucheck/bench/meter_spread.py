"""A bench multimeter's error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

COUNTS = 2000
"""A meter of three and a half digits, the least that a bench has."""


@dataclass(frozen=True)
class Meter:
    """``"1 % + 3"``: a share of the reading, and digits of the range that it is read in."""

    share: float = 0.01
    digits: int = 3

    def bound(self, values: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """By how much readings may be off [their unit], each in the smallest range of 2, 20, 200..."""
        size = np.maximum(np.abs(np.asarray(values, dtype=np.float64)), 1e-4)
        decade = 2.0 * 10.0 ** np.ceil(np.log10(size / 2.0) - 1e-12)
        return np.asarray(self.share * size + self.digits * decade / COUNTS)

    def spread(self, values: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Its standard deviation, every error inside the bound as likely as any other."""
        return np.asarray(self.bound(values) / np.sqrt(3.0))
