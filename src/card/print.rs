//! A page as it is printed: its parts laid out in millimetres, at the largest size at which
//! all fits.

use super::leaf::{Block, Bullet, Grid, Type};
use super::source::Row;
use crate::draw::{Face, PaperSize, Scene, Side};

/// Margin of the page, mm.
pub(crate) const MARGIN: f64 = 11.0;
/// Between two columns, mm.
const GUTTER: f64 = 5.0;
/// Width of a table's first column, mm.
const FIRST: f64 = 14.0;

/// Points of the type that each kind of text has at full size.
pub(crate) mod points {
    pub(crate) const TITLE: f64 = 17.0;
    pub(crate) const TAG: f64 = 11.0;
    pub(crate) const BIG: f64 = 18.0;
    pub(crate) const NAME: f64 = 10.5;
    pub(crate) const TASK: f64 = 11.0;
    pub(crate) const DRAWING: f64 = 10.0;
    pub(crate) const BODY: f64 = 9.5;
    pub(crate) const FOOT: f64 = 7.0;
}

/// Height of the dimensioned section, mm, most.
pub(crate) const SECTION: f64 = 70.0;

/// A printed page.
pub(crate) struct Printed {
    pub(crate) scene: Scene,
    /// Where its parts end, mm.
    pub(crate) bottom: f64,
}

/// Prints parts at a size, and a line at the foot of the page.
pub(crate) fn print(blocks: &[Block<'_>], paper: PaperSize, size: f64, foot: &str) -> Printed {
    let [width, height] = paper.size();
    let mut press = Press {
        scene: Scene::default(),
        size,
    };
    let bottom = press.blocks(blocks, [MARGIN, MARGIN], width - 2.0 * MARGIN);
    let at = [MARGIN, height - MARGIN + 4.0];
    let face = Face::text(points::FOOT);
    press.scene.print(at, face, Side::Left, foot);
    let scene = press.scene;
    Printed { scene, bottom }
}

/// The first of the tries that fits the paper, or the last of all.
pub(crate) fn first_that_fits<T: Copy>(
    tries: &[T],
    paper: PaperSize,
    print: impl Fn(T) -> Printed,
) -> Option<(Printed, T)> {
    let room = paper.size()[1] - MARGIN;
    let mut last = None;
    for &one in tries {
        let printed = print(one);
        let fits = printed.bottom <= room;
        last = Some((printed, one));
        if fits {
            break;
        }
    }
    last
}

/// The type, or as much smaller as the widest of the words needs to fit a cell.
fn fitted<'a>(face: Face, words: impl Iterator<Item = &'a str>, cell: f64) -> Face {
    let widest = words.map(|w| face.width(w)).fold(0.0, f64::max);
    let scale = ((cell - 2.0) / widest.max(1e-9)).min(1.0);
    let em = scale * face.em;
    Face { em, ..face }
}

/// A page being printed.
struct Press {
    scene: Scene,
    size: f64,
}

impl Press {
    fn face(&self, points: f64) -> Face {
        Face::text(points * self.size)
    }

    fn bold(&self, points: f64) -> Face {
        Face::bold(points * self.size)
    }

    /// Prints parts from a place on; returns the y below them.
    fn blocks(&mut self, blocks: &[Block<'_>], [x, top]: [f64; 2], width: f64) -> f64 {
        blocks
            .iter()
            .fold(top, |y, block| self.block(block, [x, y], width))
    }

    fn block(&mut self, block: &Block<'_>, at: [f64; 2], width: f64) -> f64 {
        let [x, y] = at;
        let mm = self.size;
        match block {
            Block::Title(title, tag) => self.title(at, width, title, tag),
            Block::Text(kind, words) => {
                let face = match kind {
                    Type::Big => self.bold(points::BIG),
                    Type::Name => self.bold(points::NAME),
                    Type::Sub => self.face(points::NAME),
                    Type::Body => self.face(points::BODY),
                };
                let after = match kind {
                    Type::Big | Type::Name => 0.3,
                    Type::Sub => 1.5,
                    Type::Body => 0.8,
                };
                self.scene.paragraph(at, width, face, words) + after * mm
            }
            Block::Framed(words) => {
                let inner = [x + 2.5, y + 0.8];
                let face = self.bold(points::BODY);
                let end = self.scene.paragraph(inner, width - 5.0, face, words) + 1.2;
                self.scene.frame(at, [width, end - y], 0.4);
                end + 2.0 * mm
            }
            Block::Bar => {
                self.scene.line(&[at, [x + width, y]], 0.8);
                y + 1.5 * mm
            }
            Block::Heading(words) => {
                self.scene.line(&[at, [x + width, y]], 0.3);
                let face = self.bold(points::NAME);
                self.scene.paragraph([x, y + 0.6], width, face, words) + 0.4
            }
            Block::List(bullet, items) => {
                let items = items.iter().enumerate();
                items.fold(y, |y, (k, words)| {
                    self.item(*bullet, k, words, [x, y], width)
                })
            }
            Block::Rows(rows) => rows.iter().fold(y, |y, row| self.row(row, [x, y], width)),
            Block::Columns(parts, columns) => self.columns(parts, columns, at, width),
            Block::Section(section) => {
                let face = self.bold(points::DRAWING);
                let (drawing, height) = section.draw(width, SECTION * mm, face);
                self.scene.put(drawing, at, 1.0, None);
                y + height + 3.0 * mm
            }
            #[cfg(feature = "pdf")]
            Block::Picture(drawing, height) => {
                let (scene, scale, size) = drawing.on_paper();
                let fit = (height / size[1]).min(width / size[0]);
                let left = x + 0.5 * (width - fit * size[0]);
                self.scene.put(scene, [left, y], scale * fit, None);
                y + fit * size[1]
            }
            Block::Grid(grid, height) => self.grid(grid, *height, at, width),
            Block::Blanks(label, count, names) => self.blanks((label, *count, names), at, width),
        }
    }

    fn title(&mut self, [x, y]: [f64; 2], width: f64, title: &str, tag: &str) -> f64 {
        let (face, small) = (self.bold(points::TITLE), self.bold(points::TAG));
        let right = [x + width, y + face.em];
        self.scene.print(right, small, Side::Right, tag);
        let room = width - small.width(tag) - 8.0;
        let mut lines = face.wrap(title, room);
        if lines.len() > 2 {
            lines.truncate(2);
            let last = &mut lines[1];
            while face.width(last) > room - face.em {
                last.pop();
            }
            last.push('…');
        }
        lines.iter().fold(y, |y, line| {
            self.scene.print([x, y + face.em], face, Side::Left, line);
            y + face.leading()
        })
    }

    /// A line of a list with what stands before it.
    fn item(&mut self, bullet: Bullet, k: usize, words: &str, at: [f64; 2], width: f64) -> f64 {
        let [x, y] = at;
        let face = match bullet {
            Bullet::Number | Bullet::None => self.face(points::TASK),
            Bullet::Box | Bullet::Dash => self.face(points::BODY),
        };
        let em = face.em;
        let (indent, mark) = match bullet {
            Bullet::Number => (1.5 * em, format!("{}.", k + 1)),
            Bullet::None => (0.0, String::new()),
            Bullet::Box => (1.35 * em, String::new()),
            Bullet::Dash => (1.5 * em, "–".to_owned()),
        };
        if bullet == Bullet::Box {
            let side = 0.72 * em;
            self.scene.frame([x, y + 0.28 * em], [side, side], 0.25);
        } else if !mark.is_empty() {
            self.scene.print([x, y + em], face, Side::Left, &mark);
        }
        let end = self
            .scene
            .paragraph([x + indent, y], width - indent, face, words);
        end + 0.15 * em
    }

    /// Label at the left, value at the right; a long value under the label.
    fn row(&mut self, row: &Row, [x, y]: [f64; 2], width: f64) -> f64 {
        let (label, value) = (self.face(points::BODY), self.bold(points::BODY));
        let fits = label.width(&row.label) + value.width(&row.value) + 2.0 <= width;
        let below = self.scene.paragraph([x, y], width, label, &row.label);
        let mut top = if fits { y } else { below };
        for line in value.wrap(&row.value, width) {
            let at = [x + width, top + value.em];
            self.scene.print(at, value, Side::Right, &line);
            top += value.leading();
        }
        below.max(top)
    }

    fn columns(
        &mut self,
        parts: &[f64],
        columns: &[Vec<Block<'_>>],
        [x, y]: [f64; 2],
        width: f64,
    ) -> f64 {
        let gaps = GUTTER * (columns.len() as f64 - 1.0);
        let part = |i: usize| parts.get(i).copied().unwrap_or(1.0);
        let whole: f64 = (0..columns.len()).map(part).sum();
        let (mut left, mut bottom) = (x, y);
        for (i, blocks) in columns.iter().enumerate() {
            let wide = (width - gaps) * part(i) / whole;
            bottom = bottom.max(self.blocks(blocks, [left, y], wide));
            left += wide + GUTTER;
        }
        bottom + 2.0 * self.size
    }

    fn grid(&mut self, grid: &Grid, height: f64, [x, y]: [f64; 2], width: f64) -> f64 {
        let small = self.face(points::BODY);
        let top = self.scene.paragraph([x, y], width, small, &grid.caption) + 0.8;
        let (across, down) = (grid.heads.len() - 1, grid.rows.len() + 1);
        let cell = (width - FIRST) / (across as f64).max(1.0);
        let cells = grid.rows.iter().flat_map(|(_, cells)| cells);
        let strong = fitted(
            Face::bold(12.0_f64.min(2.2 * height)),
            cells.map(|(words, _)| words.as_str()),
            cell,
        );
        let (right, bottom) = (x + width, top + height * down as f64);
        for k in 0..=down {
            let y = top + k as f64 * height;
            let pen = if k == 1 { 0.5 } else { 0.2 };
            self.scene.line(&[[x, y], [right, y]], pen);
        }
        for k in 0..=across {
            let at = x + FIRST + k as f64 * cell;
            let pen = if k == 0 { 0.5 } else { 0.2 };
            self.scene.line(&[[at, top], [at, bottom]], pen);
        }
        self.scene.line(&[[x, top], [x, bottom]], 0.2);
        let mut write = |column: usize, row: usize, face: Face, words: &str| {
            let middle = match column {
                0 => x + 0.5 * FIRST,
                k => x + FIRST + (k as f64 - 0.5) * cell,
            };
            let base = top + (row as f64 + 0.5) * height + 0.36 * face.em;
            self.scene.print([middle, base], face, Side::Centre, words);
        };
        let label = fitted(
            Face::text(10.0),
            grid.heads.iter().map(String::as_str),
            cell,
        );
        for (k, head) in grid.heads.iter().enumerate() {
            write(k, 0, if k == 0 { small } else { label }, head);
        }
        for (i, (name, cells)) in grid.rows.iter().enumerate() {
            write(0, i + 1, label, name);
            for (k, (words, number)) in cells.iter().enumerate() {
                write(k + 1, i + 1, if *number { strong } else { small }, words);
            }
        }
        bottom + 3.0
    }

    /// Room to write: readings in a row, and names three to a row.
    fn blanks(
        &mut self,
        (label, count, names): (&str, usize, &[String]),
        [x, top]: [f64; 2],
        width: f64,
    ) -> f64 {
        let face = self.face(points::BODY);
        let end = x + width;
        self.scene.line(&[[x, top], [end, top]], 0.3);
        let mut y = top + 2.0 * face.em;
        self.scene.print([x, y], face, Side::Left, label);
        let from = x + face.width(label) + 2.0;
        let wide = (end - from) / count.max(1) as f64;
        let mut rule = |from: f64, to: f64, y: f64| {
            self.scene.line(&[[from, y + 0.6], [to, y + 0.6]], 0.25);
        };
        for k in 0..count {
            let left = from + k as f64 * wide;
            rule(left, left + wide - 3.0, y);
        }
        let column = (width - 2.0 * GUTTER) / 3.0;
        for three in names.chunks(3) {
            y += 2.0 * face.em;
            for (i, name) in three.iter().enumerate() {
                let left = x + i as f64 * (column + GUTTER);
                self.scene.print([left, y], face, Side::Left, name);
                let line = [
                    [left + face.width(name) + 1.5, y + 0.6],
                    [left + column, y + 0.6],
                ];
                self.scene.line(&line, 0.25);
            }
        }
        y + 0.8
    }
}
