"""The trade: head-less, no Qt; everything a rebuild is computed, judged, kept and printed by."""
