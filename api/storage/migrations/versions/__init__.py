"""One module a step, in order. A step that was published is never changed."""
