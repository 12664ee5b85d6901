"""The page for phones on the dock: plain files in `page`, served as they stand."""
