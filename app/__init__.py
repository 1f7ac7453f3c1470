"""Everything a person sees; the only place that imports Qt."""
