"""The contact board: the prints on both flanks, drawn instead of typed."""
