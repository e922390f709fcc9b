"""Pages made to hurt whoever reads them: pictures and PDFs that are far bigger than they look."""

from __future__ import annotations

import io
import struct
import zlib


def png(width: int, height: int) -> bytes:
    """A picture that says it is so big, and holds nothing (W3C Portable Network Graphics, chunks IHDR, IDAT, IEND)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


def pdf_with(content: bytes, packed: bool = False) -> bytes:
    """A PDF of one page with this content (ISO 32000-1, 7.5)."""
    flate = b"/Filter /FlateDecode " if packed else b""
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R "
        b"/Resources << /Font << /F1 << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >> >> >>",
        b"<< " + flate + b"/Length %d >>\nstream\n" % len(content) + content + b"\nendstream",
    ]
    out, places = io.BytesIO(), []
    out.write(b"%PDF-1.7\n")
    for number, part in enumerate(parts, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, part))
    start = out.tell()
    out.write(b"xref\n0 5\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % one for one in places))
    out.write(b"trailer\n<< /Size 5 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % start)
    return out.getvalue()


def bomb(megabytes: int) -> bytes:
    """A page whose content unpacks to a thousand times its size."""
    packer = zlib.compressobj(9)
    some = b"0 0 m 1 1 l S\n" * 74_899
    return pdf_with(b"".join(packer.compress(some) for _ in range(megabytes)) + packer.flush(), packed=True)


def crowded(words: int) -> bytes:
    """A page with so many words."""
    lines = (f"BT /F1 4 Tf {n % 40 * 14} {n // 40 % 800} Td (pin {n}) Tj ET" for n in range(words // 2))
    return pdf_with("\n".join(lines).encode())
