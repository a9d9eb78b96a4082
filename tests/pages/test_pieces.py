"""Block, head, foot and the small pieces, by the numbers of the style guide of the pages."""

from __future__ import annotations

from datetime import date

import pytest

from planpress.base.display import Face
from planpress.base.edition import PAPERS
from planpress.figures.style import DEFAULT_ACCENT
from planpress.pages import block, typography
from planpress.pages.block import MM, Block
from planpress.pages.chrome import STAMP_SIZE, STAMP_TOP, Foot, Head, written_day
from planpress.pages.elements import Gap, Stack, height_of
from planpress.pages.notes import Actions, Caution, CheckLine, letter_of
from planpress.pages.sheets import Column, FileSettings, Sheet, write_sheets
from planpress.pages.typography import no_short_last_word, shortened, width_of, wrapped
from planpress.pages.wording import capital, counted, in_text, in_words, listed, lower_first, number_range
from planpress.writers.pdf.structure import Node
from tests.pages.layout_check import faults
from tests.writers.reading import texts

FOOT = Foot("Plan", "Maker", "Page", "What", "Inches, Letter", "Scale 1 : 6", "1.0.0", "12 May 2026")
SETTINGS = FileSettings("Test", "Maker", "Test", date(2026, 5, 12), DEFAULT_ACCENT)


def sheet(head: Head, foot: Foot, key: str = "page", node: Node | None = None) -> Sheet:
    return Sheet(key, node or Node("Sect"), head, foot, [Column.filled(0.0, 30.0, 180.0, [Gap(1.0)])])


def test_the_block_is_centred_and_lies_within_what_both_papers_share() -> None:
    for paper, (width, height) in PAPERS.items():
        where = Block(paper)
        left, top = where.point(0.0, 0.0)
        right, bottom = where.point(block.WIDTH, block.HEIGHT)
        assert left == pytest.approx(18.0 * MM)
        assert bottom == pytest.approx(float(height) * MM - top)
        assert right <= (float(width) - 10.0) * MM
        assert bottom >= 10.0 * MM
        assert where.point(0.0, STAMP_TOP + STAMP_SIZE[1])[1] >= 10.0 * MM


def test_columns_tile_the_block() -> None:
    assert block.span(0, 4) == (0.0, block.WIDTH)
    assert block.span(3) == (138.0, 42.0)


@pytest.mark.parametrize(
    ("titles", "expected"),
    [
        (("Views",), ("Views", 24.0, False)),
        (("Exploded view and all parts of the stand", "Exploded view"), ("Exploded view", 24.0, False)),
        (("Buying list and the board layouts",), ("Buying list and the board layouts", 20.0, False)),
        (("A title that is wider than half of the page",), ("A title that is wider than half of the page", 20.0, True)),
    ],
)
def test_long_titles_fall_back(titles: tuple[str, ...], expected: tuple[str, float, bool]) -> None:
    head = Head(titles, "", None)
    assert (head.title, head.size, head.low) == expected
    assert head.content_top == (27.0 if head.low else 22.5)
    if not head.low:
        assert width_of(head.title, Face.LIGHT, head.size) <= 98.0


def test_a_purpose_of_three_lines_is_refused() -> None:
    head = Head(("Views",), "Far too many words for the two lines that the head of a page has. " * 3, None)
    with pytest.raises(ValueError, match="more than two lines"):
        write_sheets([sheet(head, FOOT)], Block("letter"), SETTINGS)


def test_the_foot_says_where_one_is_on_every_page_of_three_digits() -> None:
    node = Node("Sect")
    sheets = [sheet(Head((f"Page {n}",), "", node if n == 1 else None), FOOT, f"page-{n}", node) for n in range(1, 121)]
    pdf = write_sheets(sheets, Block("letter"), SETTINGS).data
    pages = texts(pdf)
    assert len(pages) == 120
    for number, text in enumerate(pages, start=1):
        words = text.replace("\xa0", " ").split()
        at = words.index("of")
        assert words[at - 1 : at + 2] == [str(number), "of", "120"]
    assert faults(pdf) == []


def test_the_foot_shortens_what_is_too_long() -> None:
    words = "Words that go on and on and do not end"
    long = Foot(words, words, words, words, words, words, "1.2.3-beta.45", "12 September 2026")
    pdf = write_sheets([sheet(Head(("Views",), "", None), long)], Block("a4"), SETTINGS).data
    assert faults(pdf) == []
    assert texts(pdf)[0].count("\u2026") >= 6


def test_the_content_id_is_printed_only_where_it_fits() -> None:
    foot = Foot("P", "M", "P", "W", "E", "S", "1", "May 2026", "a41c09")
    pdf = write_sheets([sheet(Head(("Views",), "", None), foot)], Block("a4"), SETTINGS).data
    assert "May 2026, a41c09" not in texts(pdf)[0]
    short = Foot("P", "M", "P", "W", "E", "S", "1", "2026", "a41c09")
    pdf = write_sheets([sheet(Head(("Views",), "", None), short)], Block("a4"), SETTINGS).data
    assert "2026, a41c09" in texts(pdf)[0]


def test_a_sheet_that_does_not_hold_its_contents_is_refused() -> None:
    full = Sheet("page", Node("Sect"), None, FOOT, [Column(0.0, 30.0, 180.0, 10.0, [Gap(11.0)])])
    with pytest.raises(ValueError, match="cannot hold"):
        write_sheets([full], Block("letter"), SETTINGS)
    low = Sheet("page", Node("Sect"), None, FOOT, [Column.filled(0.0, 230.0, 180.0, [Gap(11.0)])])
    with pytest.raises(ValueError, match="in the foot"):
        write_sheets([low], Block("letter"), SETTINGS)


def test_a_caution_is_ten_high_and_grows_by_its_lines() -> None:
    assert height_of(Caution("Keep clear.", Node("Note")), 70.0) == pytest.approx(10.0)
    text = "Glue grabs after about 15 minutes. Have clamps and battens ready and work row by row: "
    text += "a joint that grabs half-way cannot be moved."
    assert height_of(Caution(text, Node("Note")), 70.0) == pytest.approx(4 * 4.5 + 5.0)


def test_stacks_lists_and_checks_add_up() -> None:
    assert height_of(Stack([Gap(3.0), Gap(4.0)], gap=1.5), 50.0) == pytest.approx(8.5)
    assert height_of(Actions(["Cut.", "Mark."], Node("L")), 70.0) == pytest.approx(4.5 + 1.0 + 4.5)
    assert height_of(CheckLine("<b>Check:</b> flush.", Node("P")), 70.0) >= 4.5


def test_lettered_lines_go_on_after_z() -> None:
    assert [letter_of(n) for n in (0, 25, 26, 27, 51, 52)] == ["a", "z", "aa", "ab", "az", "ba"]


def test_a_short_last_word_is_bound() -> None:
    assert no_short_last_word("see the card on page 7.") == "see the card on page\xa07."
    assert no_short_last_word("the edges are aligned") == "the edges are aligned"
    assert no_short_last_word("<b>Reference edge.</b> It stands on <b>it.</b>").endswith("on\xa0<b>it.</b>")
    assert no_short_last_word("word") == "word"


def test_shortening_cuts_at_words_and_inside_a_single_one() -> None:
    text = "Slat, bearer, left-hand leg"
    short = shortened(text, Face.REGULAR, 9.0, 30.0)
    assert short.endswith("\u2026")
    assert text.startswith(short[:-1])
    assert text[len(short) - 1] in " ,"
    assert width_of(short, Face.REGULAR, 9.0) <= 30.0
    single = shortened("Saatgutaufzuchtregal", Face.REGULAR, 9.0, 12.0)
    assert single.endswith("\u2026")
    assert width_of(single, Face.REGULAR, 9.0) <= 12.0


def test_wrapping_fills_lines_and_shortens_the_last() -> None:
    lines = wrapped("one two three four five six seven eight", Face.REGULAR, 11.0, 20.0, 2)
    assert len(lines) == 2
    assert all(width_of(one, Face.REGULAR, 11.0) <= 20.0 for one in lines)
    assert lines[-1].endswith("\u2026")


def test_words() -> None:
    assert [in_words(n) for n in (0, 9, 12, 13)] == ["no", "nine", "twelve", "13"]
    assert counted(1, "piece"), counted(9, "notch") == ("1\xa0piece", "9\xa0notches")
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert number_range([3, 4, 5, 8, 10, 11]) == "3\u20135, 8, 10\u201311"
    assert (capital("slat A"), lower_first("Slat"), lower_first("No. 8")) == ("Slat A", "slat", "no. 8")
    assert in_text("Leg, left-hand") == "left-hand leg"


def test_days_are_written_out() -> None:
    assert written_day("2026-05-12") == "12\xa0May\xa02026"
    assert written_day("spring 2026") == "spring 2026"


def test_text_colours_stand_out_from_white() -> None:
    """Contrast of at least 4.5 : 1 (WCAG 2.1, success criterion 1.4.3)."""

    def luminance(colour: str) -> float:
        channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    for colour in (typography.INK, typography.SECONDARY, DEFAULT_ACCENT):
        assert 1.05 / (luminance(colour) + 0.05) >= 4.5
