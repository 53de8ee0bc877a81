//! Reading a PDF back: its text, and its lines in points on the page.

use lopdf::content::{Content, Operation};
use lopdf::{Document, Object, ObjectId};

/// A matrix `[a b c d e f]` as PDF writes it.
type Matrix = [f64; 6];

/// The pages of a PDF.
pub(crate) struct Pdf {
    document: Document,
    pages: Vec<ObjectId>,
}

impl Pdf {
    pub(crate) fn read(bytes: &[u8]) -> Self {
        let document = Document::load_mem(bytes).expect("a PDF");
        let pages = document.get_pages().into_values().collect();
        Self { document, pages }
    }

    pub(crate) fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Width and height of a page, points.
    pub(crate) fn size(&self, page: usize) -> (f64, f64) {
        let page = self
            .document
            .get_dictionary(self.pages[page])
            .expect("a page");
        let media = page
            .get(b"MediaBox")
            .and_then(Object::as_array)
            .expect("a size");
        (number(&media[2]), number(&media[3]))
    }

    /// The text of a page, a sentence a line; each glyph is placed on its own.
    pub(crate) fn words(&self, page: usize) -> String {
        let number = u32::try_from(page + 1).expect("few pages");
        let glyphs = self.document.extract_text(&[number]).expect("text");
        glyphs.replace('\n', "").replace(". ", ".\n") + "\n"
    }

    /// Does a page say this?
    pub(crate) fn says(&self, page: usize, words: &str) -> bool {
        squeezed(&self.words(page)).contains(&squeezed(words))
    }

    /// Straight lines of one stroke, from end to end in points on the page.
    pub(crate) fn strokes(&self, page: usize) -> Vec<[(f64, f64); 2]> {
        let id = self.pages[page];
        let bytes = self.document.get_page_content(id);
        let mut found = Vec::new();
        let content = Content::decode(&bytes).expect("operations");
        let resources = self.document.get_dictionary(id).expect("a page");
        let forms = resources
            .get(b"Resources")
            .ok()
            .and_then(|r| self.document.dereference(r).ok())
            .and_then(|(_, r)| r.as_dict().ok().cloned());
        self.walk(
            &content.operations,
            forms.as_ref(),
            [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
            &mut found,
        );
        found
    }

    /// Follows the operations, forms too, keeping the matrix.
    fn walk(
        &self,
        operations: &[Operation],
        resources: Option<&lopdf::Dictionary>,
        start: Matrix,
        found: &mut Vec<[(f64, f64); 2]>,
    ) {
        let (mut now, mut stack) = (start, Vec::new());
        let mut path: Vec<(f64, f64)> = Vec::new();
        for o in operations {
            let v: Vec<f64> = o.operands.iter().map(number_or_nan).collect();
            match o.operator.as_str() {
                "q" => stack.push(now),
                "Q" => now = stack.pop().expect("a saved state"),
                "cm" => now = times([v[0], v[1], v[2], v[3], v[4], v[5]], now),
                "m" => path = vec![apply(now, (v[0], v[1]))],
                "l" => path.push(apply(now, (v[0], v[1]))),
                "S" => {
                    if let [a, b] = path[..] {
                        found.push([a, b]);
                    }
                }
                "Do" => self.form(&o.operands[0], resources, now, found),
                _ => {}
            }
        }
    }

    fn form(
        &self,
        name: &Object,
        resources: Option<&lopdf::Dictionary>,
        now: Matrix,
        found: &mut Vec<[(f64, f64); 2]>,
    ) {
        let stream = resources
            .and_then(|r| r.get(b"XObject").ok())
            .and_then(|x| self.document.dereference(x).ok())
            .and_then(|(_, x)| x.as_dict().ok()?.get(name.as_name().ok()?).ok().cloned())
            .and_then(|x| self.document.dereference(&x).ok().map(|(_, o)| o.clone()));
        let Some(stream) = stream.as_ref().and_then(|s| s.as_stream().ok()) else {
            return;
        };
        let Ok(bytes) = stream.get_plain_content() else {
            return;
        };
        let Ok(content) = Content::decode(&bytes) else {
            return;
        };
        let own = stream
            .dict
            .get(b"Resources")
            .ok()
            .and_then(|r| self.document.dereference(r).ok())
            .and_then(|(_, r)| r.as_dict().ok().cloned());
        self.walk(&content.operations, own.as_ref(), now, found);
    }
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

fn number(o: &Object) -> f64 {
    f64::from(o.as_float().expect("a number"))
}

fn number_or_nan(o: &Object) -> f64 {
    o.as_float().map_or(f64::NAN, f64::from)
}

/// `m` first, then `n`.
fn times(m: Matrix, n: Matrix) -> Matrix {
    [
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    ]
}

fn apply(m: Matrix, p: (f64, f64)) -> (f64, f64) {
    (
        m[0] * p.0 + m[2] * p.1 + m[4],
        m[1] * p.0 + m[3] * p.1 + m[5],
    )
}
