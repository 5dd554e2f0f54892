"""Where each key of a TOML text stands: dotted path to line number.

The parser of the standard library checks the grammar but forgets the lines; this scan
trusts the grammar and notes the lines.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field

Loc = tuple[str | int, ...]
"""Keys and list positions (from 0) that lead to a value."""

_TOKEN = re.compile(
    r'''(?P<string>"""(?:\\.?|[^\\])*?(?:"{3,5}|\Z)|"(?:\\.?|[^"\\\n])*"?'''
    r"""|'{3}.*?(?:'{3,5}|\Z)|'[^'\n]*'?)"""
    r"""|(?P<comment>\#[^\n]*)|(?P<newline>\n)|(?P<mark>[\[\]{}=,.])"""
    r"""|(?P<word>[^\s\[\]{}=,.\#"']+)""",
    re.DOTALL,
)
"""Texts that are never closed run to the end, so that no text is looked at twice."""
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def path_text(loc: Loc) -> str:
    """``("quotes", 0, "cop")`` as ``quotes[1].cop``: list positions count from 1 for people."""
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += ("." if text else "") + (part if _BARE.fullmatch(part) else ascii(part))
    return text


def line_of(lines: dict[str, int], path: str) -> int | None:
    """Line of a dotted path, or of the nearest table or list around it."""
    while path:
        if path in lines:
            return lines[path]
        cut = max(path.rfind("."), path.rfind("["))
        path = path[:cut] if cut > 0 else ""
    return None


@dataclass(frozen=True)
class Token:
    """A piece of TOML: its kind (a group of ``_TOKEN``), text and line."""

    kind: str
    text: str
    line: int


class NoSenseError(Exception):
    """A value is missing where one must stand: the text is no TOML from here on."""


@dataclass
class KeyScan:
    """Walks tokens and notes where keys begin.

    ``lines`` keeps the first line of every path, ``given`` the keys and sections that may
    be given only once, ``doubles`` those given again with their first and second line.
    """

    tokens: list[Token]
    at: int = 0
    table: Loc = ()
    lists: dict[Loc, int] = field(default_factory=dict)
    given: dict[Loc, int] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)
    doubles: list[tuple[str, int, int]] = field(default_factory=list)

    def run(self) -> KeyScan:
        while self._skip("newline", "comment"):
            if self._sees("["):
                self._header()
            else:
                self._pair(self.table)
        return self

    def _skip(self, *kinds: str) -> bool:
        """Pass tokens of these kinds; False at the end."""
        while self.at < len(self.tokens) and self.tokens[self.at].kind in kinds:
            self.at += 1
        return self.at < len(self.tokens)

    def _sees(self, mark: str) -> bool:
        return self.at < len(self.tokens) and self.tokens[self.at].text == mark

    def _note(self, loc: Loc, line: int) -> None:
        self.lines.setdefault(path_text(loc), line)

    def _give(self, loc: Loc, line: int) -> None:
        """Note a key or section that may be given only once."""
        if loc in self.given:
            self.doubles.append((path_text(loc), self.given[loc], line))
        self.given.setdefault(loc, line)
        self._note(loc, line)

    def _header(self) -> None:
        line = self.tokens[self.at].line
        self.at += 1
        is_list = self._sees("[")
        self.at += is_list
        keys = self._keys()
        self.at += 1 + is_list
        self.table = ()
        for key in keys[:-1]:
            self.table = self._inside((*self.table, key))
            self._note(self.table, line)
        self.table = (*self.table, keys[-1])
        if is_list:
            self._note(self.table, line)
            self.given.setdefault(self.table, line)
            self.lists[self.table] = self.lists.get(self.table, -1) + 1
            self.table = self._inside(self.table)
        self._give(self.table, line)

    def _inside(self, loc: Loc) -> Loc:
        """The newest entry when ``loc`` is a list of tables."""
        return (*loc, self.lists[loc]) if loc in self.lists else loc

    def _keys(self) -> list[str]:
        keys = [self._key()]
        while self._sees("."):
            self.at += 1
            keys.append(self._key())
        return keys

    def _key(self) -> str:
        token = self.tokens[self.at]
        self.at += 1
        if token.kind == "string":
            return str(tomllib.loads(f"key = {token.text}")["key"])
        return token.text

    def _pair(self, table: Loc) -> None:
        line = self.tokens[self.at].line
        keys = self._keys()
        self.at += 1
        for key in keys[:-1]:
            table = (*table, key)
            self._note(table, line)
        self._give((*table, keys[-1]), line)
        self._value((*table, keys[-1]))

    def _value(self, loc: Loc) -> None:
        if self._sees("["):
            self._items(loc)
        elif self._sees("{"):
            self._inline_table(loc)
        else:
            begin = self.at
            while self.at < len(self.tokens) and not self._ends_value():
                self.at += 1
            if self.at == begin:
                raise NoSenseError

    def _ends_value(self) -> bool:
        token = self.tokens[self.at]
        return token.kind in ("newline", "comment") or token.text in (",", "]", "}")

    def _items(self, loc: Loc) -> None:
        self.at += 1
        count = 0
        while self._skip("newline", "comment") and not self._sees("]"):
            if self._sees(","):
                self.at += 1
                continue
            self._note((*loc, count), self.tokens[self.at].line)
            self._value((*loc, count))
            count += 1
        self.at += 1

    def _inline_table(self, loc: Loc) -> None:
        self.at += 1
        while self._skip("newline", "comment") and not self._sees("}"):
            if self._sees(","):
                self.at += 1
                continue
            self._pair(loc)
        self.at += 1


def scan_keys(text: str) -> KeyScan:
    """Lines of every key and list entry of a text that the TOML parser has accepted.

    Text that it refused is scanned up to the first place where it makes no sense.
    """
    tokens = []
    line = 1
    for match in _TOKEN.finditer(text):
        kind = str(match.lastgroup)
        tokens.append(Token(kind, match[0], line))
        line += match[0].count("\n")
    scan = KeyScan(tokens)
    try:
        return scan.run()
    except (NoSenseError, IndexError, RecursionError, tomllib.TOMLDecodeError):
        return scan
