"""How the tables of a logbook came to be: frozen steps, which import nothing from the program."""
