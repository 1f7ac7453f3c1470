"""Keeping the logbook safe: backups made while the window is open, and the way back to one."""
