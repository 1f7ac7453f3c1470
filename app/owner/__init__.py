"""The owner's page: what waits, what came back, what to see to, and what the shop usually leaves behind."""
