"""What can be seen: contrast as WCAG computes it, and sizes as they look from a distance."""

from math import radians, tan

# NUREG-0700 rev. 2, 1.3.1-4: "at least 16 minutes of arc", 20 to 22 preferred to read; ISO 9241-3
# says the same, and the FAA's course on visual displays (hf.faa.gov, "Character and Symbol Size")
# says to avoid less than 16. For what need not be read at a glance: "as small as 10 minutes of arc
# are usable providing there is sufficient contrast" (IBM, healthy computing, on ISO 9241-3).
AT_A_GLANCE_ARCMIN = 16.0
BESIDE_ARCMIN = 10.0
DISTANCE_MM = 3000.0
# A tablet of 13 inches at 16:10: 13 * 25.4 * 16 / sqrt(16^2 + 10^2) = 280 mm along the longer side.
LONGER_SIDE_MM = 280.0

# WCAG 2.2, 1.4.3 (AA): text, and large text, which is 24 px or 18.66 px bold and larger.
AA_TEXT = 4.5
AA_LARGE_TEXT = 3.0

Rgb = tuple[int, int, int]


def height_mm(arcmin: float, distance_mm: float = DISTANCE_MM) -> float:
    """The height that subtends `arcmin` minutes of arc: 2 d tan(angle / 2)."""
    return 2 * distance_mm * tan(radians(arcmin / 60) / 2)


def relative_luminance(colour: Rgb) -> float:
    """WCAG 2.2, definition of relative luminance; sRGB values from 0 to 255."""

    def linear(value: int) -> float:
        share = value / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(each) for each in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """WCAG 2.2, definition of contrast ratio: 1 to 21."""
    dark, light = sorted((relative_luminance(one), relative_luminance(other)))
    return (light + 0.05) / (dark + 0.05)
