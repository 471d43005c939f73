"""Draws the arts that are measured: flat (the puffin, large, on white) and photographic (smooth noise with a white figure in it).

usage: arts.py PUFFIN WIDTH HEIGHT FLAT PHOTOGRAPH
"""
import sys

import numpy
from PIL import Image

Image.MAX_IMAGE_PIXELS = None

puffin, width, height = Image.open(sys.argv[1]).convert("RGB"), int(sys.argv[2]), int(sys.argv[3])
flat = Image.new("RGB", (width, height), "white")
flat.paste(puffin.resize((width, width * puffin.height // puffin.width), Image.LANCZOS), (0, 0))
flat.save(sys.argv[4], compress_level=6, dpi=(300, 300))

random = numpy.random.default_rng(7)
photograph = numpy.full((height, width, 3), 120.0, numpy.float32)
for cells, strength in ((4, 70), (16, 40), (64, 25), (256, 12)):
    for channel in range(3):
        coarse = Image.fromarray((random.random((cells, cells)) * 255).astype(numpy.uint8))
        photograph[:, :, channel] += (numpy.asarray(coarse.resize((width, height), Image.BICUBIC), numpy.float32) / 127.5 - 1) * strength
photograph += random.normal(0, 2, (height, width, 1)).astype(numpy.float32)
pixels = numpy.clip(photograph, 0, 254).astype(numpy.uint8)
y, x = numpy.ogrid[:height, :width]
pixels[(x - width / 2) ** 2 + (y - height / 2) ** 2 < (width / 8) ** 2] = 255
edge = width // 20
pixels[:edge] = pixels[-edge:] = 255
pixels[:, :edge] = pixels[:, -edge:] = 255
Image.fromarray(pixels).save(sys.argv[5], compress_level=6, dpi=(300, 300))
