"""How many wave strikes a boat are simulated over the spread of what is not known, through every door."""

from typing import Final

STRIKE_SAMPLES: Final = 256
"""A power of two, as the points that fill the spread evenly ask for."""
