"""Cloth for cones: patterns nested on the cloth, true-scale drawings of layout and pattern, tapes from rolls.

`nest` lays cones out; the drawing functions take its `ClothLayout` or a pattern and hand back a whole file.
"""
