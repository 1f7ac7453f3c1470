"""Data files: the demo shop, pictures, the list of system packages."""
