"""Page previews, read by Pillow."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image

from planpress.base.display import Figure, Path, rectangle
from planpress.writers.png import png, render_pages
from tests.writers.sample import drawn, sample


def test_a_preview_for_each_page_in_its_size() -> None:
    previews = render_pages(sample().data, 50)
    assert len(previews) >= 2
    for preview in previews:
        with Image.open(BytesIO(preview)) as picture:
            assert picture.size == (425, 550)
            assert picture.mode == "RGB"
            assert round(picture.info["dpi"][0]) == 50


def test_colours_stand_where_they_are_drawn() -> None:
    (preview,) = render_pages(drawn(Figure(100, 100, (Path(rectangle(0, 0, 50, 25), None, "#2E6A4C"),))), 25.4)
    with Image.open(BytesIO(preview)) as picture:
        height = picture.size[1]
        assert picture.getpixel((10, height - 5)) == (0x2E, 0x6A, 0x4C)
        assert picture.getpixel((48, height - 23)) == (0x2E, 0x6A, 0x4C)
        assert picture.getpixel((52, height - 5)) == (255, 255, 255)
        assert picture.getpixel((10, height - 28)) == (255, 255, 255)


def test_pixels_are_kept() -> None:
    pixels = np.random.default_rng(1).integers(0, 256, (7, 5, 3), dtype=np.uint8)
    with Image.open(BytesIO(png(pixels, 100))) as picture:
        assert (np.asarray(picture) == pixels).all()


def test_equal_bytes() -> None:
    data = sample().data
    assert render_pages(data, 40) == render_pages(data, 40)
