"""The page as it is written: contrast, sizes, and nothing from elsewhere."""

import re
from html.parser import HTMLParser
from importlib.resources import files

import pytest

from handsfree.board.last_value import Sign
from handsfree.board.view import Activity
from tests.board.sight import (
    AA_TEXT,
    AT_A_GLANCE_ARCMIN,
    BESIDE_ARCMIN,
    LONGER_SIDE_MM,
    Rgb,
    contrast,
    height_mm,
)

PAGE = files("handsfree.board").joinpath("page")
CSS, HTML, JS = (
    PAGE.joinpath(name).read_text() for name in ("board.css", "board.html", "board.js")
)

# A rule of the style sheet that has a body of declarations and no rule inside.
RULES = re.findall(r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", CSS, flags=re.DOTALL))


def declared(body: str, name: str) -> str | None:
    found = re.search(rf"(?:^|;)\s*{name}\s*:\s*([^;]+)", body)
    return found.group(1).strip() if found else None


def rgb(colour: str) -> Rgb:
    assert re.fullmatch("#[0-9a-f]{6}", colour), f"{colour}: write a colour as #rrggbb"
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue


COLOURED = [
    (selector.strip(), declared(body, "color"), declared(body, "background"))
    for selector, body in RULES
    if declared(body, "color") or declared(body, "background")
]


class Links(HTMLParser):
    """Every attribute that can fetch something or run something."""

    def __init__(self) -> None:
        super().__init__()
        self.fetched: list[str] = []
        self.inline: list[str] = []
        self._in_code = False

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        given = dict(attributes)
        self.fetched += [given[key] or "" for key in ("src", "href") if key in given]
        self.inline += [key for key in given if key == "style" or key.startswith("on")]
        self._in_code = tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if self._in_code and data.strip():
            self.inline.append(data)

    def handle_endtag(self, tag: str) -> None:
        self._in_code = False


# Contrast.


def test_contrast_is_computed_as_wcag_does() -> None:
    """Black on white is 21. #767676 is the lightest grey that passes AA on white: 4.54."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) < AA_TEXT


@pytest.mark.parametrize(("selector", "colour", "background"), COLOURED)
def test_each_rule_with_a_colour_has_both_and_passes_aa(
    selector: str, colour: str | None, background: str | None
) -> None:
    """WCAG 2.2, 1.4.3. All text is held to the stricter ratio, also the large."""
    assert colour is not None
    assert background is not None
    assert contrast(rgb(colour), rgb(background)) >= AA_TEXT


def test_every_activity_and_every_mark_has_its_colours() -> None:
    named = " ".join(selector for selector, _, _ in COLOURED)
    assert all(f'[data-activity="{activity}"] header' in named for activity in ACTIVITIES)
    assert all(f'#value[data-mark="{mark}"] .verdict' in named for mark in MARKS)


# Nothing by colour alone (WCAG 2.2, 1.4.1): each also has words and a sign of its own.


SIGNS = dict(re.findall(r'<symbol id="sign-([a-z-]+)"[^>]*>(.*?)</symbol>', HTML))
ACTIVITIES = [activity.value.replace(" ", "-") for activity in Activity]
MARKS = [mark.value for mark in Sign]
ALERTS = ["warning", "caution", "note"]


@pytest.mark.parametrize("together", [[*ACTIVITIES, "no-connection"], MARKS, ALERTS])
def test_what_stands_in_one_place_has_signs_of_different_shapes(together: list[str]) -> None:
    assert len({SIGNS[name] for name in together}) == len(together)


# Sizes.


@pytest.mark.parametrize(
    ("name", "arcmin"), [("far", AT_A_GLANCE_ARCMIN), ("beside", BESIDE_ARCMIN)]
)
def test_sizes_follow_from_the_angle_at_3_m(name: str, arcmin: float) -> None:
    found = re.search(rf"--{name}: calc\(var\(--fit\) \* ([0-9.]+)vmax\)", CSS)
    assert found
    assert "font-size-adjust: cap-height 0.7;" in CSS
    capital_mm = float(found.group(1)) / 100 * LONGER_SIDE_MM * 0.7
    assert height_mm(arcmin) <= capital_mm < height_mm(arcmin) * 1.05


def test_a_capital_of_16_minutes_of_arc_at_3_m_is_14_mm() -> None:
    """The small-angle rule of thumb: 1 minute of arc is 0.291 mm at 1 m."""
    assert height_mm(16) == pytest.approx(16 * 3 * 0.291, rel=0.001)
    # NUREG-0700 rev. 2, 1.3.1-4: "Height = 6.283D(MA)/21600".
    assert height_mm(16) == pytest.approx(6.283 * 3000 * 16 / 21600, rel=0.001)


# Nothing from elsewhere, nothing inline: it works with no network, and the policy allows no more.


def test_the_page_fetches_only_its_own_style_and_script() -> None:
    links = Links()
    links.feed(HTML)
    assert {each for each in links.fetched if not each.startswith("#")} == {
        "/board.css",
        "/board.js",
    }
    assert links.inline == []


def test_style_and_script_name_no_other_address() -> None:
    """The one address is the name of the SVG namespace (W3C), which nobody fetches."""
    addresses = set(re.findall(r"[a-z]+://[^\s\"')]+", CSS + JS + HTML))
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert "url(" not in CSS
    assert "@import" not in CSS


def test_the_script_writes_no_markup() -> None:
    for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
        assert way not in JS
