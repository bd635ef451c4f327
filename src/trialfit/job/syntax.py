"""What is wrong with a statement that is no TOML, in the bench's words."""

from __future__ import annotations

import re

Words = tuple[str, str, str]

_CURLY_QUOTES = "“”„‘’"
_BARE = re.compile(r"^\s*(?P<key>[^=]*?)\s*=\s*(?P<value>[^\"'\[\]{}#=]+?)\s*(?:#.*)?$")
_NOT_A_KEY = re.compile(r"[^\w\s.\"'-]|[\w\"'-]\s+[\w\"'-]")
_LONGEST = 60


def printable(text: str) -> str:
    """Show characters that cannot be seen.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        The text, with each such character as a backslash and its number.
    """
    return "".join(char if char.isprintable() else f"\\x{ord(char):02x}" for char in text)


def shortened(text: str) -> str:
    """Cut a long piece of a line for showing.

    Parameters
    ----------
    text
        One line or several.

    Returns
    -------
    str
        The first line, at most 60 characters of it.
    """
    first, *more = text.strip(" \t\n").split("\n")
    plain = printable(first)
    return plain if not more and len(plain) <= _LONGEST else plain[:_LONGEST].rstrip() + " ..."


def explain(statement: str, line: str, message: str) -> Words:
    """Say what is wrong with one statement.

    Parameters
    ----------
    statement
        The statement, whole.
    line
        The line of it at which reading stopped.
    message
        What the TOML reader said.

    Returns
    -------
    Words
        Got, wanted, remedy.
    """
    got = shortened(line if line.strip() else statement)
    first = statement.strip().split("\n")[0]
    if not line.replace("\t", "").isprintable():
        return (
            got,
            "characters that can be seen",
            "Type the line anew: it holds a hidden character, shown here by number.",
        )
    if first.startswith("[") or ("=" not in first and first.endswith("]")):
        return got, _header_form(first), _header_remedy(first)
    if any(quote in line for quote in _CURLY_QUOTES):
        return got, 'straight quotes: "', "Type the quotes anew; a word processor has made them curly."
    if "=" not in first:
        return got, 'key = value, such as owner = "A. Fenwright"', _no_equals(first)
    key, value = (side.strip() for side in first.split("=", 1))
    if not key:
        return got, "a key in front of the = sign", "Write the key's name before the = sign."
    if _NOT_A_KEY.search(_without_quoted(key)) or _odd_quotes(key):
        return got, "a key of letters, digits, _ and -", f"Put the name in quotes: {_in_quotes(key)} = ..."
    return got, *_bad_value(key, value, statement, message)


def doubled(statement: str, earlier: int, message: str) -> Words:
    """Say that something is written twice.

    Parameters
    ----------
    statement
        The later of the two.
    earlier
        Line of the first one, or 0 where it is not written alike. [-]
    message
        What the TOML reader said.

    Returns
    -------
    Words
        Got, wanted, remedy.
    """
    got = shortened(statement)
    first = f"at line {earlier}" if earlier else "further up"
    if "Cannot" not in message:
        return got, "a statement that can be read as TOML", "Look at its brackets and quotes."
    if got.startswith("["):
        return f"{got} a second time", "each table once", f"It is already there, {first}: merge or rename one."
    return f"{got}, the second of that key", "each key once", f"It is already there, {first}: take one of them out."


def _header_form(header: str) -> str:
    return "a list's header such as [[readings]]" if header.startswith("[[") else "a table's header such as [engine]"


def _header_remedy(header: str) -> str:
    opened, closed = (len(re.findall(bracket, header.split("#")[0])) for bracket in (r"\[", r"\]"))
    if opened != closed:
        return "Close it with as many brackets as it opens with."
    if _odd_quotes(header):
        return "Close the quotes."
    name = header.split("#")[0].strip().strip("[]").strip()
    if not name:
        return "Put a name between the brackets."
    return 'Put a name that holds a blank or a sign in quotes, such as [points."top face"].'


def _no_equals(line: str) -> str:
    if re.match(r"[\w-]+\s*:", line):
        return "Use = in place of the colon."
    if line.startswith(("//", ";", "--")):
        return "Begin a comment with #."
    return "Give it an = sign and a value, or begin it with # if it is a comment."


def _bad_value(key: str, value: str, statement: str, message: str) -> tuple[str, str]:
    plain = value.split("#")[0].strip()
    if not plain:
        return "a value behind the = sign", "Write the value, or take the key out if it is not known."
    if plain.lower() in ("true", "false", "yes", "no", "on", "off"):
        word = "true" if plain.lower() in ("true", "yes", "on") else "false"
        return "true or false, in small letters", f"Write {key} = {word}."
    match = _BARE.match(f"{key} = {value}")
    if match:
        bare = match["value"].strip()
        if re.fullmatch(r"[+-]?\.\d+|[+-]?\d+\.|[+-]?0\d+(\.\d+)?", bare):
            return "a figure on both sides of the point", f"Write {key} = {float(bare):g}."
        if re.fullmatch(r"\d{4}-\d\d-\d\d.*", bare):
            return "a day of the calendar, year-month-day", "Check month and day."
        return "a number alone, or text in quotes", f'Put it in quotes: {key} = "{shortened(bare)}".'
    if value.startswith("{") and ("\n" in statement or "}" not in value):
        return "a { } that closes on its own line", "Write the whole of it on one line, closed with }."
    if value.startswith(("'''", '"""')):
        return "text that ends with the three quotes it began with", f"Close it with {value[:3]}."
    if value.startswith("[") and ("nclosed" in message or "end of document" in message):
        return "a list closed with ], a comma between its values", "Look for a missing ], comma or quote."
    if behind := re.fullmatch(r"\"([^\"]*)\"\s*([\w.%°]+)", plain):
        return "one value", f'Put the whole of it in one pair of quotes: {key} = "{behind[1]} {behind[2]}".'
    if inches := re.search(r"\"([^\"]*\d)\"\"", plain):
        return "one pair of quotes round a measure", f'Write in for the inch mark: "{inches[1]} in".'
    if _odd_quotes(plain):
        return "text in a pair of quotes", "Close the quotes."
    if "\\" in value:
        return "text without a lone \\", "Write \\\\ for a backslash, or put the text in single quotes."
    return "one value: text in quotes, a number, [ ] or { }", "Look at its quotes, commas and brackets."


def _without_quoted(text: str) -> str:
    return re.sub(r"\"[^\"]*\"|'[^']*'", "q", text)


def _odd_quotes(text: str) -> bool:
    left = _without_quoted(text)
    return '"' in left or "'" in left


def _in_quotes(key: str) -> str:
    return '"' + key.replace('"', "").replace("\\", "") + '"'
