"""Where marks lie on a real surface, and what a tape reads at them."""

from __future__ import annotations

from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import Track

Ground = Track | Runway | Strip
"""Any ground. Each has `name`, `frame`, `lines`, `lanes_of(line)`, `course(line, lane)`,
`obstacles_of(line)` and `cautions(boards)`."""

__all__ = ["Ground", "Runway", "Strip", "Track"]
