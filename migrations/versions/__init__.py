"""One file for each step, in order; none is changed once a logbook has been through it."""
