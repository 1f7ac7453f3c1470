"""The mechanics of a final drive: pure functions on floats in workshop units, one file a subject, with its source."""
