"""Pictures drawn anew: what is kept has the pixels of the photo and nothing else of it."""

import io
import warnings

import pillow_heif
from PIL import Image, ImageCms, ImageOps

from fund.refusal import BadInput

PIXEL_LIMIT = 64_000_000  # phones of today make up to 50 million; each takes 3 bytes while it is open
LONG_SIDE = 3200  # enough to read the smallest print of a counter receipt
_READERS = {"jpeg": "JPEG", "png": "PNG", "heic": "HEIF"}

pillow_heif.register_heif_opener(thumbnails=False)


def clean_picture(data: bytes, kind: str, shown: str) -> tuple[str, bytes, tuple[int, int]]:
    """Kind kept (jpeg or png), bytes and size in pixels. HEIC becomes JPEG; the way up is made real."""
    try:
        with warnings.catch_warnings():
            # A size that Pillow only warns of is judged by our own limit below.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=[_READERS[kind]]) as opened:
                if opened.width * opened.height > PIXEL_LIMIT:
                    raise _too_large(opened.size, shown)
                opened.load()
                picture = _upright(opened)
    except BadInput:
        raise
    except Image.DecompressionBombError as error:
        raise _too_large(None, shown) from error
    # Pillow and its plug-ins answer a broken file with many kinds of error; to the person they are all one.
    except Exception as error:
        raise BadInput(f"“{shown}” does not open as a photo. It may be cut off; take it again.") from error
    return ("png" if kind == "png" else "jpeg"), _written(picture, kind), picture.size


def _too_large(size: tuple[int, int] | None, shown: str) -> BadInput:
    words = f"{size[0]} x {size[1]} pixels" if size else "far too many pixels"
    return BadInput(f"“{shown}” has {words}; 64 million is the limit. Take the photo at a smaller size.")


def _upright(opened: Image.Image) -> Image.Image:
    """The pixels alone, turned the way the camera was held, in ordinary colors."""
    profile = opened.info.get("icc_profile")
    picture = ImageOps.exif_transpose(opened)
    picture.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        ground = Image.new("RGBA", picture.size, "white")
        ground.alpha_composite(picture.convert("RGBA"))
        picture = ground
    elif profile and picture.mode == "RGB":
        picture = _ordinary_colors(picture, profile)
    picture = picture.convert("RGB")
    # A new image takes nothing along: no Exif, no comment, no profile, no thumbnail.
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    return bare


def _ordinary_colors(picture: Image.Image, profile: bytes) -> Image.Image:
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):
        return picture
    return turned if turned is not None else picture


def _written(picture: Image.Image, kind: str) -> bytes:
    out = io.BytesIO()
    if kind == "png":
        picture.save(out, "PNG", optimize=True)
    else:
        picture.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue()
