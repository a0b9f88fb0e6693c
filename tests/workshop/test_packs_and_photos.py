"""Packs and photos are named by the hash of their bytes, and never rewritten."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image

from tests.workshop.small_workshop import named, pack_bytes, picture


def test_a_pack_comes_back_byte_for_byte(workshop):
    data = pack_bytes()
    path = f"/api/jobs/job-1/packs/{named(data)}"
    assert workshop.ben.put(path, data).json() == {"id": named(data), "new": True}
    assert workshop.ben.put(path, data).json()["new"] is False
    assert workshop.ben.get(path).content == data


def test_a_pack_of_another_job_is_not_there(workshop):
    data = pack_bytes()
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(data)}", data)
    assert workshop.cal.get(f"/api/jobs/job-2/packs/{named(data)}").status_code == 404


@pytest.mark.parametrize("data", [b"{}", b"[]", b'{"format":1.5}', b'{"format": 1}', b"\xff"])
def test_what_is_no_pack_is_refused(workshop, data):
    assert workshop.ben.put(f"/api/jobs/job-1/packs/{named(data)}", data).status_code == 422


def test_a_job_stands_on_the_pack_it_began_on(workshop):
    from witnessmark.workshop.standing import history, pack_of

    data = pack_bytes("gull")
    workshop.ben.put(f"/api/jobs/job-1/packs/{named(data)}", data)
    workshop.ben.write(type="begin", pack=named(data))
    workshop.ben.send()
    assert pack_of(history("job-1"))["machine"]["id"] == "gull"
    assert workshop.ben.get("/api/jobs/job-1/standing").status_code == 200


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_comes_back_byte_for_byte(workshop, place, kind):
    data = picture(kind=kind)
    path = f"/api/jobs/job-1/photos/{named(data)}"
    assert workshop.ben.put(path, data).json() == {"id": named(data), "new": True}
    assert workshop.ben.put(path, data).json()["new"] is False
    found = workshop.ben.get(path)
    assert found.content == data
    assert found["Content-Type"] == f"image/{kind.lower()}"
    assert [p.name for p in place.photos.rglob("*") if p.is_file()] == [named(data)]
    assert workshop.cal.get(f"/api/jobs/job-2/photos/{named(data)}").status_code == 404


def test_a_thumbnail_is_upright_small_and_bare(workshop):
    out, exif = BytesIO(), Image.Exif()
    exif[0x0112] = 6  # turned a quarter, EXIF 2.3 table 4 "Orientation"
    exif[0x010E] = "said by the camera"
    Image.new("RGB", (800, 400), "red").save(out, "JPEG", exif=exif, comment=b"said too")
    data = out.getvalue()
    path = f"/api/jobs/job-1/photos/{named(data)}"
    workshop.ben.put(path, data)
    small = workshop.ben.get(f"{path}/thumbnail").content
    with Image.open(BytesIO(small)) as found:
        assert found.size == (160, 320)
        assert not found.getexif()
        assert "comment" not in found.info
    assert workshop.ben.get(path).content == data


def test_wrong_bytes_leave_nothing_behind(workshop, place):
    assert workshop.ben.put(f"/api/jobs/job-1/photos/{'0' * 64}", picture()).status_code == 422
    assert list(place.photos.iterdir()) == []


def huge_png(width: int, height: int) -> bytes:
    """A few hundred bytes that say they are a huge picture (PNG specification, 11.2.2)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        picture()[:2_000],
        picture(kind="GIF"),
        huge_png(10_000, 5_001),
        huge_png(60_000, 60_000),
    ],
    ids=["empty", "text", "svg", "cut short", "gif", "over 50 million pixels", "far over"],
)
def test_what_is_no_photo_within_limits_is_refused(workshop, place, data):
    assert workshop.ben.put(f"/api/jobs/job-1/photos/{named(data)}", data).status_code == 422
    assert list(place.photos.iterdir()) == []


def test_an_event_may_name_a_photo_before_it_comes(workshop):
    data = picture()
    workshop.ben.write(type="photo", photos=[named(data)])
    workshop.ben.send()

    def missing():
        items = workshop.ben.get("/api/jobs/job-1/standing").json()["outstanding"]
        return [each for each in items if each["kind"] == "missing photo"]

    assert len(missing()) == 1
    workshop.ben.put(f"/api/jobs/job-1/photos/{named(data)}", data)
    assert missing() == []
