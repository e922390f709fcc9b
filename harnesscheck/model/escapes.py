"""Control and direction characters made visible: a terminal would obey them, and a reader be misled.

Unicode's control, format, line and paragraph separator characters (categories
Cc, Cf, Zl, Zp), and lone surrogates. Letters of any script stay.
"""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    "[\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\xad\\u0600-\\u0605\\u061c\\u06dd\\u070f\\u08e2\\u180e\\u200b-\\u200f\\u2028-\\u202e"
    "\\u2060-\\u206f\\ud800-\\udfff\\ufeff\\ufff9-\\ufffb\\U000e0000-\\U000e0fff]"
)


def escaped(text: str) -> str:
    """The text with such characters as escapes (``\\x9b``, ``\\u202e``); line ends and tabs stay."""
    return _UNSEEN.sub(lambda match: match[0].encode("unicode_escape").decode(), text)


def escaped_line(text: str) -> str:
    """The same for a text that must stay on one line."""
    return escaped(text).replace("\n", "\\n").replace("\t", "\\t")


def escaped_json(text: str) -> str:
    """JSON that means the same with such characters as JSON's own escapes."""
    return _UNSEEN.sub(lambda match: _in_json(ord(match[0])), text)


def _in_json(code: int) -> str:
    if code < 0x10000:
        return f"\\u{code:04x}"
    return f"\\u{0xD800 + ((code - 0x10000) >> 10):04x}\\u{0xDC00 + ((code - 0x10000) & 0x3FF):04x}"
