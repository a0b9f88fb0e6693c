"""Pictures that are no pictures, too large, cut short, or something else as well."""

from __future__ import annotations

import io
import json
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from PIL import Image

from tests.workshop.small_workshop import named, picture
from witnessmark.workshop.beside_pictures import is_another_kind_too
from witnessmark.workshop.starting import start

MB = 1_000_000


@pytest.fixture
def place(sqlite_place):
    """What is refused does not depend on the database."""
    start(sqlite_place, tables_are_ready=True)
    yield sqlite_place
    from django.db import connections

    connections.close_all()


def chunk(name, data):
    """PNG specification, section 5.3: length, type, data, CRC."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width, height, rows, *more, depth=8, colour=2):
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    parts = [chunk(b"IHDR", head), *more, chunk(b"IDAT", rows), chunk(b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def zeros(count):
    """Compress many zero bytes without having them at once."""
    packer, out = zlib.compressobj(9), []
    out.extend(packer.compress(bytes(MB)) for _ in range(count // MB))
    out.append(packer.compress(bytes(count % MB)) + packer.flush())
    return b"".join(out)


def zipped():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("run.js", "alert(1)")
    return out.getvalue()


def with_segment(data, marker, payload):
    """A JPEG with one more segment after its start (ITU-T T.81, B.1.1.4)."""
    return (
        data[:2] + bytes([0xFF, marker]) + struct.pack(">H", len(payload) + 2) + payload + data[2:]
    )


def with_chunk(data, name, payload):
    """A PNG with one more chunk after its header."""
    return data[:33] + chunk(name, payload) + data[33:]


def with_riff_chunk(data, name, payload):
    """A WebP with one more chunk at its end (RFC 9649, section 2.3)."""
    more = data + name + struct.pack("<I", len(payload)) + payload + b"\0" * (len(payload) % 2)
    return more[:4] + struct.pack("<I", len(more) - 8) + more[8:]


JPEG, PNG, WEBP = picture(), picture(kind="PNG"), picture(kind="WEBP")
SCRIPT = b"<script>alert(1)</script>"

POLYGLOTS = {
    "page after a JPEG": JPEG + b"<!DOCTYPE html><p>",
    "page after a PNG": PNG + b"<html><p>",
    "page after a WebP": WEBP + SCRIPT,
    "script in a JPEG's comment": with_segment(JPEG, 0xFE, SCRIPT),
    "script in a JPEG's application segment": with_segment(JPEG, 0xE5, SCRIPT.upper()),
    "script in a PNG's text": with_chunk(PNG, b"tEXt", b"Comment\0" + SCRIPT),
    "script in a WebP's chunk": with_riff_chunk(WEBP, b"NOTE", SCRIPT),
    "program in a comment": with_segment(JPEG, 0xFE, b"<?php system($_GET[0]);"),
    "shell script in a comment": with_segment(JPEG, 0xFE, b"\n#!/bin/sh\n"),
    "PDF in a comment": with_segment(JPEG, 0xFE, b"%PDF-1.7\n1 0 obj"),
    "drawing after a JPEG": JPEG + b"<svg onload=alert(1)>",
    "archive after a JPEG": JPEG + zipped(),
    "archive after a PNG": PNG + zipped(),
    "archive in a PNG's chunk": with_chunk(PNG, b"zzZz", zipped())[:-1] + PNG[-1:],
}


@pytest.mark.parametrize("name", POLYGLOTS)
def test_a_picture_that_is_something_else_as_well_is_refused(workshop, place, name):
    data = POLYGLOTS[name]
    with Image.open(io.BytesIO(data)) as found:  # or it would test nothing
        found.load()
    answer = workshop.ben.put(f"/api/jobs/job-1/photos/{named(data)}", data)
    assert answer.status_code == 422
    assert "another kind of file hides" in answer.json()["detail"]
    assert list(place.photos.iterdir()) == []


def exif(data):
    out = io.BytesIO()
    with Image.open(io.BytesIO(data)) as found:
        known = found.getexif()
        known[0x0112], known[0x010F] = 6, "Invented Camera"
        found.save(out, "JPEG", exif=known)
    return out.getvalue()


WANTED = {
    "what a camera writes": exif(JPEG),
    "what an editor writes": with_segment(
        JPEG, 0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta xmlns:x='adobe:ns:meta/'/>"
    ),
    "a small film behind it": JPEG + b"\0\0\0\x18ftypmp42" + bytes(range(256)) * 40,
    "a second picture behind it": JPEG + picture((64, 48)),
    "a plain comment": with_segment(JPEG, 0xFE, b"sump from below < bolt > 8 of 16"),
    "PNG": PNG,
    "WebP": WEBP,
}


@pytest.mark.parametrize("name", WANTED)
def test_what_phones_write_beside_a_picture_is_taken(workshop, name):
    data = WANTED[name]
    path = f"/api/jobs/job-1/photos/{named(data)}"
    assert workshop.ben.put(path, data).status_code == 200
    answer = workshop.ben.get(path)
    assert answer.content == data
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Type"].startswith("image/")


def test_several_pictures_in_one_file_are_a_jpeg(workshop):
    """As some phones write them (CIPA DC-007); Pillow names the kind by itself."""
    out = io.BytesIO()
    with Image.open(io.BytesIO(JPEG)) as first, Image.open(io.BytesIO(picture((64, 48)))) as more:
        first.save(out, "MPO", save_all=True, append_images=[more])
    data = out.getvalue()
    path = f"/api/jobs/job-1/photos/{named(data)}"
    assert workshop.ben.put(path, data).status_code == 200
    assert workshop.ben.get(path).headers["Content-Type"] == "image/jpeg"
    assert workshop.ben.get(f"{path}/thumbnail").status_code == 200


def test_the_compressed_picture_itself_is_not_looked_through():
    """Chance finds any word in millions of such bytes; here it was helped."""
    scan = JPEG.index(b"\xff\xda") + 40
    assert not is_another_kind_too(JPEG[:scan] + SCRIPT + JPEG[scan:], "JPEG")
    rows = zlib.compress(SCRIPT, 0)
    assert SCRIPT in rows
    assert not is_another_kind_too(png(1, 1, rows), "PNG")


def test_every_cut_of_a_picture_is_refused(workshop, place):
    for data in (JPEG, PNG, WEBP):
        for part in (1, 10, len(data) // 4, len(data) // 2, len(data) - 200):
            cut = data[:part]
            answer = workshop.ben.put(f"/api/jobs/job-1/photos/{named(cut)}", cut)
            assert answer.status_code == 422, (data[:4], part)
    assert list(place.photos.iterdir()) == []


def test_a_body_over_the_limit_is_not_read(workshop):
    data = bytes(16 * 1024 * 1024 + 1)
    answer = workshop.ben.put(f"/api/jobs/job-1/photos/{named(data)}", data)
    assert answer.status_code == 413
    assert "16 MB" in answer.json()["detail"]


# Memory: tolerances were set before looking

REFUSED_WITHIN = 40 * MB
"""Beyond the bytes that came: what is refused by its size is not unpacked."""

UNPACKED_WITHIN = 50 * MB * 4 * 2
"""The largest picture, four bytes a pixel, twice."""

BOMBS = {
    "over 50 million pixels": png(10_000, 5_001, zeros(30_000)),
    "far over, as one row of zeros": png(200_000, 200_000, zeros(400 * MB)),
    "long text": png(4, 4, zlib.compress(bytes(52)), chunk(b"zTXt", b"a\0\0" + zeros(300 * MB))),
    "long colour profile": png(
        4, 4, zlib.compress(bytes(52)), chunk(b"iCCP", b"a\0\0" + zeros(300 * MB))
    ),
}


def examined(*files):
    script = Path(__file__).with_name("measured_photo.py")
    command = [sys.executable, str(script), *map(str, files)]
    run = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300)
    return json.loads(run.stdout)


def test_bombs_are_refused_without_being_unpacked(tmp_path):
    files = []
    for number, data in enumerate(BOMBS.values()):
        assert len(data) < 2 * MB
        (tmp_path / f"{number}").write_bytes(data)
        files.append(tmp_path / f"{number}")
    results = examined(*files)
    for name, found in zip(BOMBS, results, strict=True):
        assert found["grew"] < REFUSED_WITHIN, (name, found)
    assert "at most 50000000 are taken" in results[0]["said"]
    assert "too large" in results[1]["said"]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_largest_picture_is_taken_in_bounded_memory(tmp_path, kind):
    file = tmp_path / "large"
    size = (10_000, 5_000) if kind != "WEBP" else (10_000, 4_999)
    Image.new("RGBA" if kind != "JPEG" else "RGB", size, "#357").save(
        file, kind, **({"compress_level": 1} if kind == "PNG" else {"quality": 50})
    )
    (found,) = examined(file)
    assert found["said"] == kind
    assert found["grew"] < UNPACKED_WITHIN, found
