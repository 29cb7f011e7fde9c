"""Pieces of a rack drawn at random, with names that bite."""

from fractions import Fraction

from hypothesis import strategies as st

from nesting.rack.piece import piece_from

F = Fraction
LENGTHS = {
    "in": st.integers(1, 200 * 64).map(lambda n: F(n, 64)) | st.integers(1, 10**6).map(lambda n: F(n, 10**4)),
    "mm": st.integers(1, 50_000).map(lambda n: F(n, 10)),
}
BITING = ["=1+1", "+a", "-b", "@c", "'=d", "''", "'e", 'a "b", c', "ö; ж, 木", "\uff1d1", " padded ", "# no", "true"]
words = st.sampled_from(["", *BITING]) | st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), max_size=20
).filter(lambda text: text == "" or text.strip() != "")
labels = st.text(st.sampled_from("abcRÖЖ木0123456789"), min_size=1, max_size=12) | st.integers(1, 99).map("R-{}".format)


@st.composite
def pieces(draw):
    unit = draw(st.sampled_from(["in", "mm"]))
    lengths = LENGTHS[unit]
    return piece_from(
        {
            "label": draw(labels), "unit": unit, "length": draw(lengths), "width": draw(lengths),
            "thickness": draw(lengths), "nominal": draw(lengths), "grain": draw(st.booleans()),
            **{key: draw(words) for key in ("stock", "place", "origin", "note")},
        }
    )  # fmt: skip


racks = st.lists(pieces(), max_size=6, unique_by=lambda piece: piece.label)


def piece(label="R-1", length="31", width="9", thickness="23/32", **more):
    return piece_from({"label": label, "length": length, "width": width, "thickness": thickness, **more})
