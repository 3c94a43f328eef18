#!/usr/bin/env python3
"""Make the embedded fonts: small, renamed, TrueType subsets of TeX Gyre Termes.

A developer's tool; no build or test runs it, because the results are committed.

    pip install fonttools==4.68.0 brotli==1.2.1
    python3 make-subset.py FOLDER_OF_MATHS_FONT FOLDER_OF_TEXT_FONTS

The first folder holds texgyretermes-math.otf (version 1.543; Debian package
fonts-texgyre-math), the second texgyretermes-{regular,italic,bold}.otf (version
2.004; Debian package fonts-texgyre).

For each face, in this order:

1. `subset`: keep the characters below, the size variants and extensible pieces
   that the MATH table reaches from them, and the features named.
2. `to_truetype`: cubic outlines become quadratic ones.  With cubic ones Chromium
   writes Type 3 fonts into its PDF, which print and copy badly.
3. `add_scripts` and `add_spaces`: characters that the sources lack.
4. `rename`: a modified copy must not carry the name of its source.
5. `write`: WOFF2, without any time of writing, so equal input gives equal bytes.
"""

import io
import sys
from pathlib import Path

from fontTools import subset as subsetter
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

HERE = Path(__file__).resolve().parent

# Largest distance of a quadratic outline from its cubic source, in 1/1000 em.
OUTLINE_TOLERANCE = 1.0


def span(first, last):
    return set(range(first, last + 1))


def characters(text):
    return {ord(c) for c in text if not c.isspace()}


ASCII = span(0x20, 0x7E)
LATIN_1 = span(0xA0, 0xFF)
GREEK = (span(0x391, 0x3A9) - {0x3A2}) | span(0x3B1, 0x3C9) | characters("ϑϕϖϱϵ")
MATH_ITALIC_LATIN = (span(0x1D434, 0x1D467) - {0x1D455}) | {0x210E}
MATH_ITALIC_GREEK = span(0x1D6E2, 0x1D71B)
OPERATORS = characters("· ⋅ × ÷ − ± ∓ / ≤ ≥ ≠ ≈ ≡ < > √ ∑ ∏ ∫ ∞ ∂ ∆ ∇ ∘ ∧ ∨ ¬ ∈ → ⇒ ↔ ⟨ ⟩ ‖ …")
SIGNS = characters("° ′ ″ ‴ µ § © « » Å ø Ø ℓ ‰ ¹ ² ³") | {0xA0}
WESTERN_LETTERS = characters("ÄÖÜäöüßÉéè")
PUNCTUATION = characters("– — ‘ ’ ‚ “ ” „ • … † ‡ ‹ › € ‰") | {0x2010, 0x2011, 0x2212}
INVISIBLE = {0x2061, 0x2062, 0x2063, 0x2064}

MATH = (
    ASCII | GREEK | MATH_ITALIC_LATIN | MATH_ITALIC_GREEK | OPERATORS | SIGNS
    | WESTERN_LETTERS | PUNCTUATION | INVISIBLE
)
TEXT = ASCII | LATIN_1 | GREEK | OPERATORS | SIGNS | PUNCTUATION

# Superscript and subscript characters, by the character each is a small copy of.
SUPERSCRIPTS = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+−"))
SUBSCRIPTS = dict(zip("₀₁₂₃₄₅₆₇₈₉₊₋", "0123456789+−"))
SCRIPT_SCALE, SUPERSCRIPT_RISE, SUBSCRIPT_RISE = 0.6, 270, -140

# A reduced glyph looks thin beside full-size ones: drawn twice, this far apart, it does not.
SCRIPT_THICKENING = 14

# Spaces in 1/1000 em.
SPACES = {
    0x2002: 500, 0x2003: 1000, 0x2004: 333, 0x2005: 250, 0x2006: 167, 0x2007: 500,
    0x2008: 250, 0x2009: 167, 0x200A: 100, 0x200B: 0, 0x202F: 167, 0x205F: 222, 0x2060: 0,
    0x2061: 0, 0x2062: 0, 0x2063: 0, 0x2064: 0,
}

# Characters that a text face may draw with the glyph of another one.
STAND_INS = {0x22C5: 0xB7, 0x2010: 0x2D, 0x2011: 0x2D, 0xA0: 0x20, 0x2206: 0x394, 0xB5: 0x3BC}


def subset(font, wanted, features):
    options = subsetter.Options()
    options.layout_features = features
    options.layout_scripts = ["DFLT", "latn", "grek", "math"]
    options.name_IDs = ["*"]
    options.name_languages = [0x409]
    options.name_legacy = False
    options.notdef_outline = True
    options.glyph_names = True  # `post` drops them at the end
    options.hinting = False
    options.desubroutinize = True
    options.recalc_timestamp = False
    options.drop_tables += ["FFTM", "DSIG"]
    worker = subsetter.Subsetter(options)
    worker.populate(unicodes=wanted)
    worker.subset(font)
    if "GPOS" in font and not font["GPOS"].table.LookupList:
        del font["GPOS"]


def to_truetype(font):
    order = font.getGlyphOrder()
    outlines = font.getGlyphSet()
    glyphs = {}
    for name in order:
        pen = TTGlyphPen(None)
        outlines[name].draw(Cu2QuPen(pen, OUTLINE_TOLERANCE, reverse_direction=True))
        glyphs[name] = pen.glyph()

    font["loca"] = newTable("loca")
    font["glyf"] = glyf = newTable("glyf")
    glyf.glyphOrder = order
    glyf.glyphs = glyphs
    del font["CFF "]
    if "VORG" in font:
        del font["VORG"]

    # The left side bearing is the left edge of the outline in TrueType.
    for name in order:
        glyphs[name].recalcBounds(glyf)
        advance, _ = font["hmtx"][name]
        font["hmtx"][name] = (advance, getattr(glyphs[name], "xMin", 0))

    maxp = font["maxp"]
    maxp.tableVersion = 0x00010000
    for field in (
        "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs",
        "maxStackElements", "maxSizeOfInstructions", "maxPoints", "maxContours",
        "maxCompositePoints", "maxCompositeContours", "maxComponentElements", "maxComponentDepth",
    ):
        setattr(maxp, field, 0)
    maxp.maxZones = 1
    font["post"].formatType = 3.0
    font["post"].extraNames, font["post"].mapping = [], {}
    font["head"].glyphDataFormat = 0
    font.sfntVersion = "\x00\x01\x00\x00"


def add_glyph(font, name, code, glyph, advance):
    glyf = font["glyf"]
    if name not in glyf.glyphs:
        font.setGlyphOrder(font.getGlyphOrder() + [name])
        glyf.glyphOrder = font.getGlyphOrder()
    glyf.glyphs[name] = glyph
    glyph.recalcBounds(glyf)
    font["hmtx"].metrics[name] = (advance, getattr(glyph, "xMin", 0))
    map_character(font, code, name)


def map_character(font, code, name):
    for table in font["cmap"].tables:
        if table.isUnicode() and (code <= 0xFFFF or table.format == 12):
            table.cmap[code] = name


def add_scripts(font):
    """Add each missing script character as a scaled reference to its full-size glyph."""
    mapped = font.getBestCmap()
    for table, rise, prefix in (
        (SUPERSCRIPTS, SUPERSCRIPT_RISE, "sup"),
        (SUBSCRIPTS, SUBSCRIPT_RISE, "sub"),
    ):
        for script, full in table.items():
            if ord(script) in mapped or ord(full) not in mapped:
                continue
            base = mapped[ord(full)]
            # The `ssty` form of a maths font is drawn heavier, for use at this size.
            heavier = base + ".st"
            has_heavier = heavier in font["glyf"].glyphs
            base = heavier if has_heavier else base
            pen = TTGlyphPen(font["glyf"].glyphs)
            for shift in (0,) if has_heavier else (0, SCRIPT_THICKENING):
                pen.addComponent(base, (SCRIPT_SCALE, 0, 0, SCRIPT_SCALE, shift, rise))
            advance = round(font["hmtx"][base][0] * SCRIPT_SCALE)
            add_glyph(font, f"{prefix}.{base}", ord(script), pen.glyph(), advance)


def add_spaces(font, stand_ins):
    mapped = font.getBestCmap()
    for code, advance in SPACES.items():
        if code not in mapped:
            add_glyph(font, f"space.{code:04X}", code, TTGlyphPen(None).glyph(), advance)
    for code, other in stand_ins.items():
        if code not in mapped and other in mapped:
            map_character(font, code, mapped[other])


def rename(font, family, style, source):
    postscript = family.replace(" ", "") + "-" + style
    copyright_text = font["name"].getDebugName(0)
    names = {
        0: copyright_text,
        1: family,
        2: style,
        3: f"1.0;{postscript}",
        4: family if style == "Regular" else f"{family} {style}",
        5: "Version 1.0",
        6: postscript,
        10: f"Modified subset of {source}: fewer characters, TrueType outlines, another name.",
        13: "GUST Font License; the text is in LICENSE-GUST.txt.",
        16: family,
        17: style,
    }
    table = font["name"]
    table.names = []
    for identity, text in names.items():
        table.setName(text, identity, 3, 1, 0x409)


def write(font, path):
    # WOFF2 writing reads the tables back, so every table must be in its final form first.
    plain = io.BytesIO()
    font.recalcTimestamp = False
    font["head"].modified = font["head"].created
    font.save(plain)
    plain.seek(0)
    font = TTFont(plain, recalcTimestamp=False, recalcBBoxes=False)
    font.flavor = "woff2"
    font.save(path)
    print(f"{path.name}: {path.stat().st_size} bytes, {font['maxp'].numGlyphs} glyphs")


def make(source, target, wanted, features, family, style, stand_ins):
    font = TTFont(source, recalcTimestamp=False)
    original = font["name"].getDebugName(4)
    subset(font, wanted, features)
    to_truetype(font)
    add_scripts(font)
    add_spaces(font, stand_ins)
    rename(font, family, style, original)
    write(font, target)
    return font


def write_advances(font, path):
    """One line a mapped character: its code in hexadecimal and its advance in 1/1000 em."""
    scale = 1000 / font["head"].unitsPerEm
    lines = [
        f"{code:04X} {round(font['hmtx'][name][0] * scale)}\n"
        for code, name in sorted(font.getBestCmap().items())
    ]
    path.write_text("".join(lines), encoding="ascii")
    print(f"{path.name}: {len(lines)} characters")


def main(arguments):
    if len(arguments) != 2:
        sys.exit(__doc__)
    math_folder, text_folder = map(Path, arguments)

    math = make(
        math_folder / "texgyretermes-math.otf", HERE / "soleplate-math.woff2",
        MATH, ["ssty"], "Soleplate Math", "Regular", STAND_INS,
    )
    write_advances(math, HERE / "advances.txt")
    for style in ("Regular", "Italic", "Bold"):
        make(
            text_folder / f"texgyretermes-{style.lower()}.otf",
            HERE / f"soleplate-text-{style.lower()}.woff2",
            TEXT, ["kern", "liga", "lnum", "tnum"], "Soleplate Text", style, STAND_INS,
        )


if __name__ == "__main__":
    main(sys.argv[1:])
