"""The archive: a part of a logbook, or all of it, as one documented file that goes from shop to shop; and flat CSV.

An archive is a ZIP of JSON, photos and build sheets. `form` says what is in it, `write` makes one, `read` opens one
that nobody vouches for, `sense` looks whether what it says can be; its schema is in ``assets/schema``. What becomes of
it in a logbook is the business of `core.records.exchange_verbs`.
"""
