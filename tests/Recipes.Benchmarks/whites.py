"""What a technician with numpy would write for printable-whites, and the oracle that whole-process figures are compared with.

usage: whites.py IN OUT
"""
import sys

import numpy
from PIL import Image
from scipy import ndimage

Image.MAX_IMAGE_PIXELS = None

picture = Image.open(sys.argv[1])
pixels = numpy.asarray(picture.convert("RGB")).copy()
walkable, _ = ndimage.label((pixels >= 231).all(axis=2))
border = numpy.unique(numpy.concatenate([walkable[0], walkable[-1], walkable[:, 0], walkable[:, -1]]))
reached = numpy.zeros(walkable.max() + 1, bool)
reached[border[border > 0]] = True
enclosed = (pixels == 255).all(axis=2) & ~reached[walkable]
pixels[enclosed] = 254
Image.fromarray(pixels).save(sys.argv[2], compress_level=1, dpi=picture.info.get("dpi", (300, 300)))
