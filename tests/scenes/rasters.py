"""A PDF page as pixels, at an exact scale.

The library's own `render` rounds the page up to whole pixels and stretches it
to fill them (1 in 4000 at 20 px/mm), so the page is drawn through a matrix.
"""

import ctypes

import numpy as np
import pypdfium2 as pdfium
from numpy.typing import NDArray
from pypdfium2 import raw


def rasterise(
    pdf: bytes, page: int, px_per_mm: float, window_mm: tuple[float, float, float, float]
) -> NDArray[np.uint8]:
    """Return the part (x, y, width, height in mm from the top left) of a page as grey codes (H, W)."""
    x, y, width, height = window_mm
    shape = (round(height * px_per_mm), round(width * px_per_mm))
    document = pdfium.PdfDocument(pdf)
    sheet = document[page]
    bitmap = pdfium.PdfBitmap.new_native(shape[1], shape[0], raw.FPDFBitmap_BGRx)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, shape[1], shape[0])
    scale = px_per_mm * 25.4 / 72
    matrix = raw.FS_MATRIX(scale, 0, 0, scale, -x * px_per_mm, -y * px_per_mm)
    clip = raw.FS_RECTF(0, 0, shape[1], shape[0])
    raw.FPDF_RenderPageBitmapWithMatrix(bitmap, sheet, ctypes.byref(matrix), ctypes.byref(clip), 0)
    pixels = np.array(bitmap.to_numpy()[..., 1])
    sheet.close()
    document.close()
    return pixels
