"""The calculators: every calculation of the trade, without a job."""
