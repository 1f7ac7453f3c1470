"""The shop page: rings in the drawer, gauges, spec cards, people, and the shop itself."""
