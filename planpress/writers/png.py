"""Page previews: PDF to PNG."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pypdfium2


def render_pages(pdf: bytes, dpi: float) -> list[bytes]:
    """Every page as a PNG (RGB, 8 bits), white behind.

    Args:
        pdf: the file's bytes.
        dpi: pixels per inch of paper.
    """
    with pypdfium2.PdfDocument(pdf) as document:
        return [_rendered(page, dpi) for page in document]


def _rendered(page: pypdfium2.PdfPage, dpi: float) -> bytes:
    bitmap = page.render(scale=dpi / 72, rev_byteorder=True)
    pixels = np.asarray(bitmap.to_numpy())[:, :, :3]
    return png(np.ascontiguousarray(pixels, dtype=np.uint8), dpi)


def png(pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], dpi: float) -> bytes:
    """A PNG file of pixels of shape (height, width, 3), red, green and blue (ISO/IEC 15948)."""
    height, width = pixels.shape[:2]
    rows = pixels.reshape(height, width * 3)
    filtered = np.empty((height, width * 3 + 1), dtype=np.uint8)
    filtered[:, 0] = 2  # each row is written as its difference from the one above
    filtered[0, 1:] = rows[0]
    np.subtract(rows[1:], rows[:-1], out=filtered[1:, 1:])
    per_metre = round(dpi / 0.0254)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", zlib.compress(filtered.tobytes(), 6)),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
