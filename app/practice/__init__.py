"""The page on which people new to the trade practise reading contact prints."""
