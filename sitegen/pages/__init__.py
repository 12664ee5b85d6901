"""The pages: for each a declared context, made from a run's result, and a template of the same name."""
