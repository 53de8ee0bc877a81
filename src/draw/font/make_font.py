"""Makes regular.ttf and semibold.ttf from Inter 4 (OFL 1.1): see README.md.

usage: make_font.py INPUT.otf OUTPUT.ttf {Regular|SemiBold}
"""

import sys

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

source, target, style = sys.argv[1:4]

# The semibold carries headings, titles and values, so it does without Latin Extended-A.
KEEP = [*range(0x20, 0x7F), *range(0xA0, 0x180 if style == "Regular" else 0x100)]
KEEP += [ord(c) for c in "−–—‘’‚“”„•…≤≥≈×±µμ°²³·€λ"] + [0x2009, 0x202F]

font = TTFont(source)

# Tabular figures for everybody: point the characters at what `tnum` would put there.
tnum = {}
gsub = font["GSUB"].table
for record in gsub.FeatureList.FeatureRecord:
    if record.FeatureTag == "tnum":
        for i in record.Feature.LookupListIndex:
            for sub in gsub.LookupList.Lookup[i].SubTable:
                tnum.update(getattr(sub, "ExtSubTable", sub).mapping)
digits = {c: tnum[g] for c, g in font.getBestCmap().items() if c in range(0x30, 0x3A) and g in tnum}
assert len(digits) == 10
for table in font["cmap"].tables:
    if table.isUnicode():
        for code, glyph in digits.items():
            if code in table.cmap:
                table.cmap[code] = glyph

options = subset.Options()
options.layout_features = ["kern"]
options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
options.hinting = False
options.notdef_outline = True
options.glyph_names = False
options.drop_tables += ["DSIG", "meta"]
subsetter = subset.Subsetter(options)
subsetter.populate(unicodes=KEEP)
subsetter.subset(font)

# Quadratic outlines, within a thousandth of an em.
order = font.getGlyphOrder()
glyphs = font.getGlyphSet()
upem = font["head"].unitsPerEm
drawn = {}
for name in order:
    pen = TTGlyphPen(None)
    glyphs[name].draw(Cu2QuPen(pen, upem * 0.001, reverse_direction=True))
    drawn[name] = pen.glyph()
del font["CFF "]
if "VORG" in font:
    del font["VORG"]
font["loca"] = newTable("loca")
font["glyf"] = glyf = newTable("glyf")
glyf.glyphOrder = order
glyf.glyphs = drawn
for name, glyph in drawn.items():
    glyph.recalcBounds(glyf)
    font["hmtx"][name] = (font["hmtx"][name][0], getattr(glyph, "xMin", 0))
widest = max(font["hmtx"][name][0] for name in digits.values())
for name in digits.values():
    font["hmtx"][name] = (widest, font["hmtx"][name][1])
maxp = font["maxp"]
maxp.tableVersion = 0x00010000
for key in ("maxZones maxTwilightPoints maxStorage maxFunctionDefs maxInstructionDefs maxStackElements "
            "maxSizeOfInstructions maxPoints maxContours maxCompositePoints maxCompositeContours "
            "maxComponentElements maxComponentDepth").split():
    setattr(maxp, key, 1 if key == "maxZones" else 0)
font["post"].formatType = 3.0
font.sfntVersion = "\x00\x01\x00\x00"

# Ascent less descent is 1.24 em: the ratio plotters takes between its size and the em,
# so that the widths it measures are the widths drawn.
ascent, descent = round(0.98 * upem), -round(0.26 * upem)
font["hhea"].ascent, font["hhea"].descent, font["hhea"].lineGap = ascent, descent, 0
os2 = font["OS/2"]
os2.sTypoAscender, os2.sTypoDescender, os2.sTypoLineGap = ascent, descent, 0
os2.usWinAscent, os2.usWinDescent = ascent, -descent

bold = style == "SemiBold"
os2.usWeightClass = 600 if bold else 400
os2.fsSelection = (os2.fsSelection & ~0x61) | (0x20 if bold else 0x40)
font["head"].macStyle = 1 if bold else 0
words = {1: "Tautspan Sans", 2: "Bold" if bold else "Regular", 3: f"Tautspan Sans {style} 1",
         4: f"Tautspan Sans {style}", 5: "Version 1.000", 6: f"TautspanSans-{style}"}
for record in list(font["name"].names):
    if record.nameID in words:
        record.string = words[record.nameID]
font["head"].modified = font["head"].created
font.recalcTimestamp = False
font.save(target)

# For the page, packed.
font.flavor = "woff2"
font.save(target.replace(".ttf", ".woff2"))
