"""Labels: read back by a decoder of QR codes that shares nothing with what draws them; no letter below 9 points."""

import io

import cairosvg
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from nesting.draw.ink import Text, to_svg
from nesting.draw.lettering import advance
from nesting.paper.packet import drawings_pdf
from nesting.rack.label import WIDTH, label
from tests.rack.pieces import piece

LONG = piece("M" * 16, stock="W" * 100, origin="Ж" * 100, place="木" * 50, unit="mm", length=2440.5, grain=False)


def decoded(image):
    (found,) = zxingcpp.read_barcodes(image)
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    return found.text


@pytest.mark.parametrize(
    ("one", "base", "says"),
    [
        (piece("R-12"), "https://bench.example/", "https://bench.example/rack/R-12"),
        (piece("Ö-木"), "http://10.0.0.2:8000", "http://10.0.0.2:8000/rack/%C3%96-%E6%9C%A8"),
        (piece("R-12"), None, "R-12: 31 × 9 × 23/32 in"),
        (LONG, "http://" + "a" * 200 + ".example", "http://" + "a" * 200 + ".example/rack/" + "M" * 16),
    ],
)
def test_the_code_opens_the_pieces_page(one, base, says):
    drawn = cairosvg.svg2png(to_svg(label(one, base)).encode(), scale=4)
    assert decoded(Image.open(io.BytesIO(drawn))) == says


def test_labels_print_one_a_page_at_their_size():
    pages = [label(piece("R-1"), "http://a.example"), label(LONG, "http://a.example")]
    printed = pypdfium2.PdfDocument(drawings_pdf(pages))
    assert len(printed) == 2
    assert [round(side) for side in printed[0].get_size()] == [252, 108]
    assert decoded(printed[0].render(scale=4).to_pil()) == "http://a.example/rack/R-1"


@pytest.mark.parametrize("one", [piece("R-12"), LONG, piece("ab", note="n" * 90)])
def test_the_lettering_keeps_within_the_label_and_the_label_itself_is_whole(one):
    texts = [mark for mark in label(one, "http://a.example").items if isinstance(mark, Text)]
    for text in texts:
        assert text.size >= 9
        assert text.x + advance(text.text, text.size, bold=text.bold) <= WIDTH - 6
    assert "".join(text.text for text in texts).startswith(one.label)
