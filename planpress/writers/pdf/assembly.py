"""Objects to file: object streams (ISO 32000-1, 7.5.7) and the cross-reference stream (7.5.8)."""

from __future__ import annotations

import zlib

_PER_OBJECT_STREAM = 200


def compress(data: bytes) -> bytes:
    """Compresses a stream; the only place where this is done."""
    return zlib.compress(data, 6)


def assembled(
    packed: list[tuple[int, bytes]],
    streams: list[tuple[int, bytes]],
    version: tuple[int, int],
    trailer: str,
) -> tuple[bytes, int, int]:
    """(the file, place of its cross-reference stream, number of its objects with object 0).

    The objects in `packed` go into object streams (ISO 32000-1, 7.5.7), all are listed in one cross-reference
    stream (7.5.8).
    """
    parts = [b"%%PDF-%d.%d\n%%\xe2\xe3\xcf\xd3\n" % version]
    length = len(parts[0])
    last = max(count for count, _ in [*packed, *streams])
    rows: dict[int, bytes] = {0: b"\x00" + bytes(4) + b"\xff\xff"}
    for start in range(0, len(packed), _PER_OBJECT_STREAM):
        last += 1
        chunk = packed[start : start + _PER_OBJECT_STREAM]
        streams = [*streams, (last, _object_stream(chunk))]
        for index, (count, _) in enumerate(chunk):
            rows[count] = b"\x02" + last.to_bytes(4, "big") + index.to_bytes(2, "big")
    for count, body in streams:
        rows[count] = b"\x01" + length.to_bytes(4, "big") + b"\x00\x00"
        parts.append(b"%d 0 obj\n%s\nendobj\n" % (count, body))
        length += len(parts[-1])
    last += 1
    rows[last] = b"\x01" + length.to_bytes(4, "big") + b"\x00\x00"
    table = compress(b"".join(rows[count] for count in range(last + 1)))
    head = f"<</Type/XRef/Size {last + 1}/W[1 4 2]{trailer}/Filter/FlateDecode/Length {len(table)}>>\nstream\n"
    parts.append(b"%d 0 obj\n%s%s\nendstream\nendobj\n" % (last, head.encode("ascii"), table))
    parts.append(b"startxref\n%d\n%%%%EOF\n" % length)
    return b"".join(parts), length, last + 1


def _object_stream(objects: list[tuple[int, bytes]]) -> bytes:
    index: list[str] = []
    offset = 0
    for count, body in objects:
        index.append(f"{count} {offset}")
        offset += len(body) + 1
    first = " ".join(index).encode("ascii") + b"\n"
    data = compress(first + b"\n".join(body for _, body in objects))
    entries = f"/N {len(objects)}/First {len(first)}/Filter/FlateDecode/Length {len(data)}"
    return f"<</Type/ObjStm{entries}>>\nstream\n".encode("ascii") + data + b"\nendstream"
