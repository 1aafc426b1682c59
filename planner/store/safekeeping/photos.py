"""Photos of jobs, in a folder beside the database: made anew as they come in, so that only the picture stays.

A picture is read, turned upright, made no larger than `LONGEST_PX` and written as JPEG without any of what a
phone adds to it (place, time, device). What is no picture is refused; so is one with more dots than a phone
makes, before it is unpacked.
"""

from __future__ import annotations

import hashlib
import re
import shutil
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path

from planner.errors import BadInput
from planner.store.safekeeping.backup import private_file

#: A photo that comes in is at most so long [bytes], and has at most so many dots.
MOST_BYTES, MOST_DOTS = 10_000_000, 60_000_000
#: The longer side of a kept photo [pixels]; its JPEG quality; photos of one job.
LONGEST_PX, QUALITY, MOST_PHOTOS = 2000, 82, 40
KINDS = ("JPEG", "PNG", "WEBP")
_NAME = re.compile(r"\d{8}-\d{6}-[0-9a-f]{8}\.jpg")


@dataclass(frozen=True, slots=True)
class Photo:
    """One kept photo. name: of its file; at: when it came in."""

    name: str
    at: datetime


def folder_of(place: Path, code: str) -> Path:
    """The folder of a job's photos; its name tells nothing and can hold no path."""
    return place / hashlib.sha256(code.encode()).hexdigest()[:24]


def photos(place: Path, code: str) -> list[Photo]:
    """The photos of a job, oldest first."""
    folder = folder_of(place, code)
    names = sorted(p.name for p in folder.iterdir() if _NAME.fullmatch(p.name)) if folder.is_dir() else []
    return [Photo(name, datetime.strptime(name[:15], "%Y%m%d-%H%M%S")) for name in names]


def clean(content: bytes) -> bytes:
    """The picture as JPEG with nothing else in it. BadInput when it is none, or too large."""
    from PIL import Image, ImageOps

    if len(content) > MOST_BYTES:
        raise BadInput("photo", f"{len(content)} bytes", f"at most {MOST_BYTES // 1_000_000} MB")
    try:
        with Image.open(BytesIO(content), formats=KINDS) as opened:
            if opened.width * opened.height > MOST_DOTS:
                fix = "it has more dots than a phone makes: make it smaller"
                raise BadInput("photo", f"{opened.width} x {opened.height}", fix)
            upright = ImageOps.exif_transpose(opened).convert("RGB")
            upright.thumbnail((LONGEST_PX, LONGEST_PX))
            out = BytesIO()
            bare = Image.frombytes("RGB", upright.size, upright.tobytes())
            bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise BadInput("photo", "(a file)", "it is no JPEG, PNG or WebP picture that can be read") from None
    return out.getvalue()


def keep(place: Path, code: str, content: bytes, at: datetime) -> Photo:
    """Keep a photo of a job; the same picture again is kept once. BadInput when it cannot be taken."""
    made = clean(content)
    mark = hashlib.sha256(made).hexdigest()[:8]
    held = photos(place, code)
    twin = next((p for p in held if p.name.endswith(f"-{mark}.jpg")), None)
    if twin is not None:
        return twin
    if len(held) >= MOST_PHOTOS:
        raise BadInput("photo", f"{len(held)} kept", "take one away first")
    folder = folder_of(place, code)
    for one in (place, folder):
        one.mkdir(mode=0o700, parents=True, exist_ok=True)
    photo = Photo(f"{at:%Y%m%d-%H%M%S}-{mark}.jpg", at.replace(microsecond=0))
    path = folder / photo.name
    half = path.with_suffix(".part")
    private_file(half)
    half.write_bytes(made)
    half.replace(path)
    return photo


def content_of(place: Path, code: str, name: str) -> bytes:
    """A kept photo. BadInput when there is none of that name."""
    path = folder_of(place, code) / name
    if not _NAME.fullmatch(name) or not path.is_file():
        raise BadInput("photo", name, "there is no such photo")
    return path.read_bytes()


def drop(place: Path, code: str, name: str) -> None:
    """Take one photo away. BadInput when there is none of that name."""
    content_of(place, code, name)
    (folder_of(place, code) / name).unlink()


def forget(place: Path, code: str) -> int:
    """Take every photo of a job away; how many there were."""
    held = len(photos(place, code))
    shutil.rmtree(folder_of(place, code), ignore_errors=True)
    return held
