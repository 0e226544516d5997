"""Good input made bad: in its bytes, and in the structure that it has."""

import json
from collections.abc import Callable
from random import Random
from typing import Any

# What has hurt readers of text before: figures of other alphabets, marks that nobody sees, ends of
# lines, numbers that are none, very long and very deep things.
NASTY = (
    "",
    " ",
    "\u3164",
    "\u2800",
    "\u202e12",
    "a\u200bb",
    "\x1b[31m",
    "\x00",
    "\ud800",
    "\ufeff",
    "\u2028",
    "５",
    "٥",
    "𝟛",
    "½",
    "Ⅷ",
    "é",
    "e\u0301",
    "ß",
    "İ",
    "中",
    "😀",
    "<script>alert(1)</script>",
    "{{7*7}}",
    "%s%n",
    "../../etc/passwd",
    "=1+1",
    "nan",
    "inf",
    "-0",
    "1e999",
    "1e-999",
    "0x10",
    "1_000",
    "0" * 400,
    "9" * 400,
    "-" * 50,
    "true",
    "null",
    "~",
    "2031-02-30",
    "9999-12-31",
    "0001-01-01",
    "*a",
    "&a b",
    "!!python/object/apply:os.system [ls]",
    "x" * 5000,
    "x " * 3000,
    "step one",
    "affirm",
    "psi",
    "N·m",
)


def bytes_changed(good: bytes, random: Random) -> bytes:
    """Some bytes turned, put in, taken out, doubled, moved, or the rest cut off."""
    data = bytearray(good)
    for _ in range(random.choice((1, 1, 1, 2, 4, 16))):
        at = random.randrange(len(data) + 1)
        size = random.choice((1, 1, 2, 4, 16, 200))
        match random.randrange(8):
            case 0:
                data[at : at + 1] = bytes([random.randrange(256)])
            case 1 if at < len(data):
                data[at] ^= 1 << random.randrange(8)
            case 2:
                data[at:at] = random.randbytes(size)
            case 3:
                del data[at : at + size]
            case 4:
                data[at:at] = data[at : at + size] * random.choice((1, 3, 50))
            case 5:
                other = random.randrange(len(data) + 1)
                data[at : at + size] = data[other : other + size]
            case 6:
                data[at : at + size] = random.choice((b"\xff", b"\x00", b"\x80", b"\x7f")) * size
            case _ if random.random() < 0.3:
                del data[at:]
    return bytes(data)


def text_changed(good: str, random: Random) -> str:
    """The same for a text: lines and words of it, and nasty ones."""
    lines = good.split("\n")
    for _ in range(random.choice((1, 1, 2, 5))):
        at = random.randrange(len(lines))
        match random.randrange(6):
            case 0:
                del lines[at : at + 1]
                lines = lines or [""]
            case 1:
                lines.insert(at, lines[random.randrange(len(lines))])
            case 2:
                lines[at] = " " * random.randrange(6) + lines[at].strip()
            case 3:
                words = lines[at].split(" ")
                words[random.randrange(len(words))] = random.choice(NASTY)
                lines[at] = " ".join(words)
            case 4:
                lines[at] = lines[at].replace(":", random.choice((": ", " :", "", "::", ": &a ")))
            case _:
                where = random.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:where] + random.choice(NASTY) + lines[at][where:]
    return "\n".join(lines)


def tree_changed(value: Any, random: Random) -> Any:
    """A copy of plain data (mappings, lists, texts, numbers) with some of its parts changed."""
    changed = json.loads(json.dumps(value))
    for _ in range(random.choice((1, 1, 1, 2, 3))):
        parts = list(_parts(changed))
        if not parts:
            break
        holder, key = random.choice(parts)
        _CHANGES[random.randrange(len(_CHANGES))](holder, key, parts, random)
    return changed


def _parts(value: Any) -> Any:
    """Each place below: its holder and the key there."""
    keys: Any = value.items() if isinstance(value, dict) else enumerate(value)
    for key, each in list(keys):
        yield value, key
        if isinstance(each, dict | list):
            yield from _parts(each)


def _nasty(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    holder[key] = random.choice(NASTY)


def _within(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    if isinstance(holder[key], str):
        at = random.randrange(len(holder[key]) + 1)
        holder[key] = holder[key][:at] + random.choice(NASTY) + holder[key][at:]


def _letters(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    """Any characters, of any alphabet or none: most can be seen, and few can be said."""
    if isinstance(holder[key], str):
        at = random.randrange(len(holder[key]) + 1)
        letters = "".join(chr(random.randrange(0xA0, 0x3400)) for _ in range(random.choice((1, 3))))
        holder[key] = holder[key][:at] + letters + holder[key][at:]


def _number(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    holder[key] = random.choice((0, -1, 1, 7, 10**9, 10**40, -(10**9), 0.1, 1e300, True))


def _other(holder: Any, key: Any, parts: Any, random: Random) -> None:
    there, name = random.choice(parts)
    holder[key] = json.loads(json.dumps(there.get(name) if isinstance(there, dict) else there))


def _gone(holder: Any, key: Any, _parts: Any, _random: Random) -> None:
    if isinstance(holder, dict):
        holder.pop(key, None)
    elif key < len(holder):
        del holder[key]


def _wrapped(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    for _ in range(random.choice((1, 2, 40))):
        holder[key] = random.choice(([holder[key]], {"a": holder[key]}))


def _repeated(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    if isinstance(holder, list):
        holder[key:key] = [holder[key]] * random.choice((1, 2, 20))
    else:
        holder[key] = [holder[key]] * random.choice((2, 20))


def _named(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    if isinstance(holder, dict):
        holder[random.choice(NASTY)] = holder.pop(key, None)


def _empty(holder: Any, key: Any, _parts: Any, random: Random) -> None:
    holder[key] = random.choice(({}, [], "", None))


_Change = Callable[[Any, Any, Any, Random], None]
_CHANGES: tuple[_Change, ...] = (
    _nasty,
    _within,
    _within,
    _letters,
    _letters,
    _number,
    _other,
    _gone,
    _wrapped,
    _repeated,
    _named,
    _empty,
)
