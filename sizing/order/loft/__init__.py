"""What the sewing loft gets beside the order's tables: cloth layouts, patterns, a kit's papers, the workshop.

Read `files` first: `loft_files` makes everything, by name, as bytes. Nothing is brought in here: drawing
takes a second of imports, and `cloth_jobs` and `pattern_names` are wanted where nothing is drawn.
"""
