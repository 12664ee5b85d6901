"""Densities of the water a drogue is towed in and of the air that pushes the boat."""

from __future__ import annotations

from typing import Final

SEA_WATER_KG_M3: Final = 1025.0
"""Sea water, rounded; S = 35 g/kg at 15 degC gives 1025.8 [TEOS-10]. The policy may say otherwise."""

AIR_KG_M3: Final = 1.225
"""Air at sea level and 15 degC [ISO 2533, standard atmosphere]."""
