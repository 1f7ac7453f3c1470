"""The people at work: who is at the bench, their PINs and roles, and what was done."""
