"""The one translation function; every string a person reads passes through it.

Declarations (entries, stages, cautions) are written once, at import, in English; they are wrapped in
`mark` so that they can be collected, and translated by `tr` at the moment they are shown.
"""

from __future__ import annotations

import gettext
from collections.abc import Callable

_translate: Callable[[str], str] = gettext.NullTranslations().gettext


def mark(text: str) -> str:
    """Mark a text for collection without translating it yet."""
    return text


def tr(text: str, /, **fields: object) -> str:
    """Translate a text and fill its named fields.

    Parameters
    ----------
    text : str
        English source text; the fields are in braces, as for ``str.format``.
    **fields : object
        What to put in the braces. Without fields the braces are left alone.

    Examples
    --------
    >>> tr("Fit {ring} mm on the left.", ring="2.60")
    'Fit 2.60 mm on the left.'
    """
    if not text:
        return ""
    translated = _translate(text)
    return translated.format(**fields) if fields else translated


def translation() -> Callable[[str], str]:
    """Return the translation in force; what keeps translated sentences keeps them under it."""
    return _translate


def use_translation(translate: Callable[[str], str] | None) -> None:
    """Install another translation (None: back to English)."""
    global _translate
    _translate = translate or gettext.NullTranslations().gettext
