//! Widths of text in the bundled font, so that the core can break lines without a font.
//!
//! Advance widths of ASCII in thousandths of an em, read from `draw/font/*.ttf`; a test
//! in `render` compares them with the font. Other Latin letters are taken at the
//! width of a wide letter, so that a line is rather broken early than cut.

/// A size and weight of the one font.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Face {
    /// Size, units of the drawing to the em.
    pub(crate) em: f64,
    /// Semibold.
    pub(crate) bold: bool,
}

/// Millimetres in a typographic point.
pub(crate) const POINT: f64 = 25.4 / 72.0;

impl Face {
    /// Regular, in points.
    pub(crate) fn text(points: f64) -> Self {
        Self {
            em: points * POINT,
            bold: false,
        }
    }

    /// Semibold, in points.
    pub(crate) fn bold(points: f64) -> Self {
        Self {
            em: points * POINT,
            bold: true,
        }
    }

    /// Height of the ascenders over the baseline.
    pub(crate) fn rise(self) -> f64 {
        0.76 * self.em
    }

    /// Depth of the descenders under it.
    pub(crate) fn drop(self) -> f64 {
        0.22 * self.em
    }

    /// Width and height of a line of text, from the ascenders to the descenders.
    pub(crate) fn size_of(self, text: &str) -> [f64; 2] {
        [self.width(text), self.rise() + self.drop()]
    }

    /// Distance of two lines, mm.
    pub(crate) fn leading(self) -> f64 {
        1.28 * self.em
    }

    /// Width of a line of text, mm.
    pub(crate) fn width(self, text: &str) -> f64 {
        let table = if self.bold { &SEMIBOLD } else { &REGULAR };
        let advance = |c: char| match c {
            '\u{a0}' => table[0],
            '\u{2009}' | '\u{202f}' => 200,
            // The signs beside numbers: as wide as `+`; and those above the line.
            '\u{2212}' | '\u{d7}' | '\u{b1}' => table[11],
            '\u{b0}' | '\u{b2}' | '\u{b3}' => RAISED,
            ' '..='~' => (c as usize)
                .checked_sub(0x20)
                .and_then(|i| table.get(i).copied())
                .unwrap_or(WIDE),
            _ => WIDE,
        };
        text.chars().map(|c| f64::from(advance(c))).sum::<f64>() * self.em / 1000.0
    }

    /// Breaks a text at spaces into lines of at most `width` mm; a longer word is cut.
    pub(crate) fn wrap(self, text: &str, width: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in text.split(' ').filter(|w| !w.is_empty()) {
            for piece in self.cut(word, width) {
                let longer = if line.is_empty() {
                    piece.clone()
                } else {
                    format!("{line} {piece}")
                };
                if self.width(&longer) > width && !line.is_empty() {
                    lines.push(std::mem::replace(&mut line, piece));
                } else {
                    line = longer;
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// A word in pieces no wider than `width`.
    fn cut(self, word: &str, width: f64) -> Vec<String> {
        let mut pieces = vec![String::new()];
        for c in word.chars() {
            let last = pieces.len() - 1;
            let longer = format!("{}{c}", pieces[last]);
            if self.width(&longer) > width && !pieces[last].is_empty() {
                pieces.push(c.to_string());
            } else {
                pieces[last] = longer;
            }
        }
        pieces
    }
}

/// Width of degree sign, square and cube, thousandths of an em: of the widest, semibold.
const RAISED: u16 = 458;
/// Width of what the tables lack, thousandths of an em.
const WIDE: u16 = 760;

#[rustfmt::skip]
const REGULAR: [u16; 95] = [
    281, 278, 403, 631, 638, 812, 639, 222, 362, 362, 500, 659, 280, 460, 276, 357, 648, 648, 648,
    648, 648, 648, 648, 648, 648, 648, 276, 280, 659, 659, 659, 507, 936, 676, 651, 727, 719, 598,
    587, 743, 740, 264, 543, 652, 562, 889, 753, 761, 635, 761, 639, 638, 642, 741, 676, 949, 642,
    665, 625, 362, 357, 362, 469, 452, 497, 564, 621, 558, 621, 582, 361, 609, 591, 237, 237, 544,
    237, 869, 585, 597, 609, 609, 372, 523, 364, 581, 557, 812, 540, 557, 541, 362, 327, 362, 659,
];

#[rustfmt::skip]
const SEMIBOLD: [u16; 95] = [
    248, 309, 396, 643, 649, 844, 663, 213, 393, 393, 543, 673, 295, 466, 290, 379, 670, 670, 670,
    670, 670, 670, 670, 670, 670, 670, 290, 295, 673, 673, 673, 544, 999, 724, 657, 744, 724, 608,
    586, 755, 744, 275, 561, 677, 566, 906, 741, 775, 643, 776, 651, 649, 660, 734, 724, 1007, 690,
    705, 653, 393, 379, 393, 481, 468, 497, 575, 630, 577, 630, 593, 377, 625, 613, 261, 261, 569,
    261, 898, 610, 608, 625, 625, 397, 549, 380, 608, 576, 837, 562, 576, 562, 393, 358, 393, 673,
];

/// Characters of a text that the bundled font lacks, each once: the PDF shows boxes there.
#[cfg(feature = "pdf")]
pub fn unprintable(text: &str) -> String {
    let known = |c: char| {
        matches!(c, ' '..='~' | '\u{a0}'..='\u{17f}')
            || "λμ\u{2009}–—‘’‚“”„•…\u{202f}€−≈≤≥".contains(c)
    };
    let mut found = String::new();
    for c in text.chars().filter(|&c| !known(c)) {
        if !found.contains(c) {
            found.push(c);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_asked_even_with_a_long_word() {
        let face = Face::text(10.0);
        let text = "a recess with a name of manyletterswithoutanyspaceinbetweenthem and more";
        for line in face.wrap(text, 20.0) {
            assert!(face.width(&line) <= 20.0, "{line}");
        }
    }

    #[test]
    fn breaking_lines_loses_no_word() {
        let text = "tape 25 mm out from the left lip, 30 mm from the right";
        assert_eq!(Face::bold(9.0).wrap(text, 25.0).join(" "), text);
    }
}
