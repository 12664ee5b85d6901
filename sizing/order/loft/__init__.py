"""What the sewing loft gets beside the order's tables: cloth layouts, patterns, a kit's papers, the workshop.

Read `files` first: `loft_files` makes everything, by name, as bytes.
"""

from sizing.order.loft.cloth_files import pattern_stem, patterns_of
from sizing.order.loft.files import loft_files, write_loft

__all__ = ["loft_files", "pattern_stem", "patterns_of", "write_loft"]
