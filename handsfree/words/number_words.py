"""The words of numbers, each with its figures; of digits every way to say it, the usual one first.

"Tree", "fower", "fife" and "niner" are those of ICAO Annex 10 Vol II, 5.2.1.4.3.1.
"""

DIGIT_WORDS = {
    "0": ("zero", "oh"),
    "1": ("one",),
    "2": ("two",),
    "3": ("three", "tree"),
    "4": ("four", "fower"),
    "5": ("five", "fife"),
    "6": ("six",),
    "7": ("seven",),
    "8": ("eight",),
    "9": ("nine", "niner"),
}
TEEN_WORDS = {
    "10": "ten",
    "11": "eleven",
    "12": "twelve",
    "13": "thirteen",
    "14": "fourteen",
    "15": "fifteen",
    "16": "sixteen",
    "17": "seventeen",
    "18": "eighteen",
    "19": "nineteen",
}
TENS_WORDS = {
    "2": "twenty",
    "3": "thirty",
    "4": "forty",
    "5": "fifty",
    "6": "sixty",
    "7": "seventy",
    "8": "eighty",
    "9": "ninety",
}

USUAL_DIGIT_WORDS = {figure: spellings[0] for figure, spellings in DIGIT_WORDS.items()}
"""How each figure is said where nobody minds the ICAO words: "nine" and "five"."""
