"""What the synthetic people say: numbers, readings, letters, states, standard words, any words.

Every text is lower case, words separated by single spaces, spelled as handsfree's phrase sets spell
them ("niner", "p s i", "alfa"), because the text is also the training target.
"""

import json
from pathlib import Path
from random import Random

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
# ICAO Annex 10 Vol II, 5.2.1.4.3.1: the pronunciations that recognizers write as their own words.
ICAO_DIGITS = {"three": "tree", "four": "fower", "five": "fife", "nine": "niner"}
TEENS = (
    "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
    "eighteen", "nineteen",
)  # fmt: skip
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
ICAO_LETTERS = (
    "alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliett",
    "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango",
    "uniform", "victor", "whiskey", "xray", "yankee", "zulu",
)  # fmt: skip
LETTERS = "abcdefghijklmnopqrstuvwxyz"
UNITS = (
    "p s i", "pounds per square inch", "bar", "bars", "kilopascals", "degrees celsius", "degrees",
    "celsius", "degrees c", "degrees fahrenheit", "newton metres", "newton meters", "inch pounds",
    "pound inches", "foot pounds", "newtons", "pounds force", "pounds", "millimetres",
    "millimeters", "inches", "inch", "seconds", "volts", "ohms", "pieces", "percent", "minutes",
)  # fmt: skip
QUANTITIES = (
    "pressure", "bottle pressure", "gauge", "gauge reads", "temperature", "outside temperature",
    "torque", "set", "force", "pull force", "gap", "length", "voltage", "resistance", "count",
    "weight", "time", "reading", "measured", "indicated", "serial number", "part number",
)  # fmt: skip
STANDARD_WORDS = (
    "affirm", "affirmative", "negative", "say again", "read back", "correction", "disregard",
    "stand by", "go ahead", "unable", "how do you read", "words twice", "roger", "wilco",
    "confirm", "confirmed", "check", "checked", "done", "complete", "yes", "no", "stop", "start",
    "go", "help", "repeat", "on", "off", "up", "down", "left", "right", "next", "ready",
    "acknowledge", "approved", "cancel", "monitor", "report", "verify", "finding", "remark",
)  # fmt: skip
OBJECTS = (
    "safety pin", "pin", "lever", "door", "slide", "bottle", "valve", "girt bar", "hose", "tie",
    "safety tie", "cover", "cap", "plug", "latch", "handle", "switch", "breaker", "connector",
    "cable", "bracket", "clamp", "seal", "strap", "bolt", "nut", "screw", "wrench", "gauge",
    "panel", "light", "indicator", "flag", "tag", "lanyard", "pack", "soft cover", "lock",
)  # fmt: skip
STATES = (
    "in", "out", "armed", "disarmed", "open", "closed", "locked", "unlocked", "installed",
    "removed", "connected", "disconnected", "on", "off", "secured", "released", "tight", "loose",
    "latched", "unlatched", "clear", "damaged", "clean", "dry", "green", "red", "up", "down",
    "fitted", "torqued", "inspected", "safe", "charged", "empty", "full", "engaged",
)  # fmt: skip
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
DATES = ("calibrated until", "calibration due", "valid until", "use before", "due", "expires")
PARTS = (("half", "halves"), ("quarter", "quarters"), ("fourth", "fourths"),
         ("eighth", "eighths"), ("sixteenth", "sixteenths"))  # fmt: skip
PLAIN_WORDS = (
    "where am i", "hand over", "take over", "back to step", "close finding", "second", "inspector",
    "technician", "supervisor", "inspected", "rejected", "part", "tool", "data", "access",
    "condition", "other",
)  # fmt: skip
# Words that sound alike get one spelling: the reader hears, it does not guess from context.
ONE_SPELLING = {
    "o": "oh", "to": "two", "too": "two", "for": "four", "fore": "four", "ate": "eight",
    "won": "one", "sea": "see", "alpha": "alfa", "juliet": "juliett", "whisky": "whiskey",
    "meters": "metres", "millimeters": "millimetres",
}  # fmt: skip


def as_heard(text: str) -> str:
    """`text` with one spelling for each sound."""
    return " ".join(ONE_SPELLING.get(word, word) for word in text.split(" "))


def common_words(tokenizer: Path, count: int = 8000) -> tuple[str, ...]:
    """The `count` most common English words, by rank in a byte pair vocabulary.

    A vocabulary learnt from frequency is a list of common words, and this one is here already.
    """
    vocabulary: dict[str, int] = json.loads(tokenizer.read_text("utf-8"))["model"]["vocab"]
    start_of_word = "\u0120"
    ranked = sorted(vocabulary.items(), key=lambda entry: entry[1])
    words = (token[1:] for token, _ in ranked if token.startswith(start_of_word))
    whole = [word for word in words if word.isascii() and word.isalpha() and word.islower()]
    return tuple(word for word in whole if len(word) > 1)[:count]


class Writer:
    """Draws texts; equal seeds give equal texts."""

    def __init__(self, random: Random, words: tuple[str, ...]) -> None:
        self._random = random
        self._words = words

    def text(self) -> str:
        """One utterance of 1 to about 12 words."""
        kinds = (
            (22, self.figures), (8, self.group_form), (6, self.pairs), (6, self.decimal),
            (14, self.reading), (8, self.identity), (6, self.spelled), (8, self.standard),
            (8, self.state), (10, self.any_words), (4, self.mixture), (9, self.fraction),
            (7, self.date), (6, self.doubled), (4, self.corrected), (4, self.twice),
            (3, self.plain), (9, self.lone_word), (9, self.lone_figure),
        )  # fmt: skip
        weights = [weight for weight, _ in kinds]
        return self._random.choices([kind for _, kind in kinds], weights)[0]()

    def figures(self, shortest: int = 1, longest: int = 8) -> str:
        """Digit by digit; each digit repeats the one before more often than chance."""
        words: list[str] = []
        icao = self._random.random() < 0.3
        for _ in range(self._random.randint(shortest, longest)):
            if words and self._random.random() < 0.3:
                words.append(words[-1])
                continue
            word = self._random.choice(DIGITS)
            if word == "zero" and self._random.random() < 0.2:
                word = "oh"
            words.append(ICAO_DIGITS.get(word, word) if icao else word)
        return " ".join(words)

    def group_form(self) -> str:
        """In hundreds and thousands, also "one three thousand five hundred"."""
        random = self._random
        thousands = random.choice((self._below_100, lambda: self.figures(2, 3), self._unit))
        parts = [thousands(), "thousand"] if random.random() < 0.6 else []
        if not parts or random.random() < 0.6:
            parts += [self._unit(), "hundred"]
        if random.random() < 0.5:
            parts += ["and"] * (random.random() < 0.3) + [self._below_100()]
        return " ".join(parts)

    def pairs(self) -> str:
        """Figures in twos, such as "fifty two nineteen"."""
        return " ".join(self._below_100() for _ in range(self._random.randint(1, 3)))

    def decimal(self) -> str:
        """A number with decimals, a sign, or both."""
        sign = "minus " if self._random.random() < 0.4 else ""
        whole = self._random.choice((lambda: self.figures(1, 3), self._below_100))()
        mark = self._random.choice(("decimal", "point"))
        return f"{sign}{whole} {mark} {self.figures(1, 2)}"

    def reading(self) -> str:
        """A value with its unit, its quantity, or both, sometimes corrected."""
        random = self._random
        kinds = (lambda: self.figures(2, 5), self.group_form, self.pairs, self.decimal)
        value = random.choice(kinds)()
        before = f"{random.choice(QUANTITIES)} " if random.random() < 0.5 else ""
        after = f" {random.choice(UNITS)}" if random.random() < 0.7 else ""
        if random.random() < 0.1:
            value = f"{value} correction {self.figures(2, 4)}"
        return f"{before}{value}{after}"

    def fraction(self) -> str:
        """Parts of an inch: alone, behind a whole number, or its parts alone as figures would be.

        "Seven eighths" must not be read as "seven eight", so both are written equally often.
        """
        random = self._random
        if random.random() < 0.3:
            return f"{self._unit()} {random.choice(('two', 'four', 'eight', 'sixteen'))}"
        one, many = random.choice(PARTS)
        over = random.choice((*DIGITS[1:], *TEENS[:6]))
        said = random.choice((f"{over} {many}", f"{over} {many}", f"a {one}", f"one {one}"))
        if random.random() < 0.5:
            said = f"{random.choice((self._unit, self._below_100))()} and {said}"
        before = f"{random.choice(QUANTITIES)} " if random.random() < 0.3 else ""
        after = random.choice(("", " inches", " inch", " of an inch"))
        return f"{before}{said}{after}"

    def date(self) -> str:
        """Day, month and year, mostly figure by figure."""
        random = self._random
        day = random.choice((lambda: self.figures(1, 2), self._below_100))()
        year = f"two zero {random.choice(DIGITS)} {random.choice(DIGITS)}"
        before = f"{random.choice(DATES)} " if random.random() < 0.3 else ""
        return f"{before}{day} {random.choice(MONTHS)} {year}"

    def doubled(self) -> str:
        """Figures, and in identities letters, with "double" or "triple" before one."""
        words = (*DIGITS, *DIGITS, *ICAO_LETTERS)
        parts = self._random.choices(words, k=self._random.randint(1, 4))
        at = self._random.randrange(len(parts))
        parts.insert(at, self._random.choice(("double", "double", "double", "triple")))
        return " ".join(parts)

    def corrected(self) -> str:
        """A value that is corrected in the same breath."""
        kinds = (lambda: self.figures(1, 4), self.decimal, self.group_form)
        wrong, right = self._random.choice(kinds)(), self._random.choice(kinds)()
        before = f"{self._random.choice(QUANTITIES)} " if self._random.random() < 0.5 else ""
        after = f" {self._random.choice(UNITS)}" if self._random.random() < 0.4 else ""
        return f"{before}{wrong} correction {right}{after}"

    def twice(self) -> str:
        """A value said twice, sometimes announced."""
        value = self._random.choice((lambda: self.figures(1, 4), self.decimal))()
        after = f" {self._random.choice(UNITS)}" if self._random.random() < 0.5 else ""
        before = "words twice " if self._random.random() < 0.4 else ""
        return f"{before}{value}{after} {value}{after}"

    def plain(self) -> str:
        """Words where radiotelephony has none, some with a figure."""
        said = self._random.choice(PLAIN_WORDS)
        return f"{said} {self.figures(1, 2)}" if said.endswith(("step", "finding")) else said

    def lone_word(self) -> str:
        """One word, mostly a short one: what sounds nearly as a figure does and is none."""
        short = [word for word in self._words if len(word) <= 4]
        return self._random.choice(short if self._random.random() < 0.7 else self._words)

    def lone_figure(self) -> str:
        """One figure by itself."""
        return self.figures(1, 1)

    def identity(self) -> str:
        """ICAO letters mixed with figures."""
        drawn = (
            self._random.choice(ICAO_LETTERS) if self._random.random() < 0.6 else self.figures(1, 2)
            for _ in range(self._random.randint(1, 5))
        )
        return " ".join(drawn)

    def spelled(self) -> str:
        """Plain letters, some with figures behind them."""
        letters = " ".join(self._random.choices(LETTERS, k=self._random.randint(1, 5)))
        return f"{letters} {self.figures(1, 3)}" if self._random.random() < 0.5 else letters

    def standard(self) -> str:
        """One or two standard words of radiotelephony and of this trade."""
        return " ".join(self._random.sample(STANDARD_WORDS, self._random.randint(1, 2)))

    def state(self) -> str:
        """An object and its state, such as "safety pin out"."""
        return f"{self._random.choice(OBJECTS)} {self._random.choice(STATES)}"

    def any_words(self) -> str:
        """Common English words in no order."""
        return " ".join(self._random.choices(self._words, k=self._random.randint(1, 6)))

    def mixture(self) -> str:
        """Two kinds in one breath."""
        kinds = (self.figures, self.standard, self.state, self.any_words, self.identity)
        first, second = self._random.sample(kinds, 2)
        return f"{first()} {second()}"

    def _unit(self) -> str:
        return self._random.choice(DIGITS[1:])

    def _below_100(self) -> str:
        tens = self._random.choice(TENS)
        bare_or_with_unit = tens if self._random.random() < 0.4 else f"{tens} {self._unit()}"
        return self._random.choice((self._random.choice(TEENS), bare_or_with_unit))
