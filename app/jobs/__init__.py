"""The desk: the list of jobs, the intake, and what a unit was like on its earlier visits."""
