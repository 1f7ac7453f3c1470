"""The bench: the page a stage is worked on, made from the declarations of `core.stages` alone."""
