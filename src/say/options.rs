//! What would do where no width does, and why none does, in words.

use super::{Say, Voice};
use crate::advice::{
    Alternative, Cause, Corner, FilmPiece, NoWidth, Notice, OptionKind, Piece, Seam,
};
use crate::told::Told;

/// In which direction seams overlap, and how not to cut; common practice, no source.
pub const CUTTING: [&str; 3] = [
    "never cut on paint: a blade through the film scores it. Cut on the bench, or over a cutting tape laid under the line first",
    "blades cut hands and wiring; the film maker's instructions for seams and overlaps come first",
    "overlaps as on a roof: where the recess runs level along a side, the upper film lies over the lower, so that water runs off the edge and washing strokes run over it; where it runs up and down, the front film lies over the rear (common practice, no source)",
];

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    Some(match notice {
        Notice::CreasesAtClosedEnd => "at a closed end film that feeds in creases".to_owned(),
        Notice::NoClassDoes { tried } => {
            format!("none of the {tried} other classes looked through has a width here")
        }
        Notice::ClearDoesNotHelp {
            clear_mm,
            widest_mm,
        } => format!(
            "even with {} clear on each side, as far as no next recess is in the way, no bridge up to {} does",
            voice.width(*clear_mm),
            voice.width(*widest_mm)
        ),
        Notice::NothingToRelieve { mm } => format!(
            "the panel in the recess is only {} longer than the film over it: a cut there relieves nothing",
            voice.length(*mm)
        ),
        Notice::StripTooWide { strip_mm, clear_mm } => format!(
            "a strip of {} needs more clear panel than the {} there are",
            voice.length(*strip_mm),
            voice.length(*clear_mm)
        ),
        Notice::NoPlaceToCut => "no place for the cut was found".to_owned(),
        Notice::NoFlatForInlay {
            needs_mm,
            left_mm,
            right_mm,
        } => format!(
            "an inlay needs at least {} of flat beyond each lip to hold on, but {} to the left and {} to the right are clear",
            voice.length(*needs_mm),
            voice.length(*left_mm),
            voice.length(*right_mm)
        ),
        Notice::NotNearClosedEnd => {
            "within a bridge width of a closed end: the film that feeds in creases there".to_owned()
        }
        Notice::NotWhereHeld { side } => format!(
            "where the {} side is already laid, trimmed to size or held by a next recess or a stop",
            side.word()
        ),
        Notice::NotWhereArtworkMeets { side } => format!(
            "where artwork must meet a mark or a neighbouring sheet on the {} side",
            side.word()
        ),
        Notice::NotOverNext { valleys } => format!(
            "over the next recess without adding its own shift: the section has {valleys} valleys, and this is for one"
        ),
        Notice::CutFirst { stretched_pct } => format!(
            "cut before the recess is laid, not after: laid in one piece the film is stretched by up to {} at these edges, and a free end in stretched film lifts first",
            voice.percent(*stretched_pct)
        ),
        Notice::EdgesFree {
            piece,
            bonded_pct,
            over_pct,
        } => {
            let verdict = over_pct.map_or_else(
                || "within the limit".to_owned(),
                |limit| format!("over the limit of {}", voice.limit(limit)),
            );
            let bonded = voice.beside(*bonded_pct, over_pct.unwrap_or(f64::INFINITY));
            format!(
                "lay the {} from its middle outwards with both edges free: stuck at both overlaps first, and then pressed in, it is stretched by up to {bonded}, {verdict}",
                piece.word()
            )
        }
        Notice::OverlapNotFlat { side, off_mm } => format!(
            "the {} overlap does not lie flat: the panel under it departs by {} from a straight line",
            side.word(),
            voice.length(*off_mm)
        ),
        _ => return None,
    })
}

impl Piece {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Strip => "strip",
            Self::Right => "right",
            Self::Inlay => "inlay",
        }
    }
}

impl OptionKind {
    /// The trade's name of it.
    pub fn word(self) -> &'static str {
        match self {
            Self::MoreClear => "more clear panel",
            Self::FarSideLoose => "far side loose",
            Self::FilmClass => "another film class",
            Self::ReliefCut => "relief cut with an inlay strip",
            Self::SeparateInlay => "separate inlay",
        }
    }
}

/// An option in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OptionWords {
    /// It would do: what it is, and what belongs to it.
    Does(String, Vec<String>),
    /// It would not, and why.
    DoesNot(String),
}

impl Alternative {
    /// Does it need a cut or a seam?
    pub fn is_cut(&self) -> bool {
        matches!(self, Self::ReliefCut { .. } | Self::SeparateInlay { .. })
    }

    /// The option in words.
    pub fn words(&self, voice: Voice) -> OptionWords {
        let length = |mm: &f64| voice.length(*mm);
        let bare = |first| OptionWords::Does(first, Vec::new());
        match self {
            Self::MoreClear {
                clear_left_mm,
                clear_right_mm,
                bridge_mm,
            } => bare(format!(
                "more clear panel: needs {} clear to the left and {} to the right, for a bridge of {}",
                length(clear_left_mm),
                length(clear_right_mm),
                length(bridge_mm)
            )),
            Self::FarSideLoose {
                artwork_shift_mm,
                loose,
                near_shift_mm,
                peak_pct,
                not_where,
            } => {
                let (far, near) = (loose.word(), loose.other().word());
                let typed = format!(" (`--order one-way --loose {far}`)");
                let first = format!(
                    "far side loose{}: from the {near} flat over the recess, film feeding in from the {far}, stretch about {}",
                    voice.at_keyboard(&typed),
                    voice.share(*peak_pct)
                );
                let mut more = vec![format!(
                    "artwork and sheet edge on the {far} move by {} towards the recess, on the {near} by {}",
                    length(artwork_shift_mm),
                    length(near_shift_mm)
                )];
                more.extend(not_where.iter().map(|w| format!("not {}", w.say(voice))));
                OptionWords::Does(first, more)
            }
            Self::FilmClass {
                name,
                bridge_mm,
                limit_pct,
                order,
                peak_pct,
                warm,
                ..
            } => bare(format!(
                "film class {name} (limit {}): bridge {}, {}, peak {}; warmed: {}",
                voice.limit(*limit_pct),
                length(bridge_mm),
                order.word(),
                voice.peak(*peak_pct),
                warm.say(voice)
            )),
            Self::ReliefCut {
                strip_mm,
                overlap_mm,
                gap_mm,
                seams,
                pieces,
                flags,
            } => {
                let first = format!(
                    "relief cut and an inlay strip {} wide: a gap of {} and {} of overlap on each side",
                    length(strip_mm),
                    length(gap_mm),
                    length(overlap_mm)
                );
                let cut = ("cut edge", "strip");
                OptionWords::Does(first, in_pieces(cut, seams, pieces, flags, voice))
            }
            Self::SeparateInlay {
                piece_mm,
                pushed_piece_mm,
                seams,
                pieces,
                flags,
            } => {
                let first = format!(
                    "separate inlay, the film of the flats trimmed where the recess begins: a piece {} wide laid with its edges free ({} if pushed in with its overlaps stuck first)",
                    length(piece_mm),
                    length(pushed_piece_mm)
                );
                let cut = ("film of the flat ends", "inlay");
                OptionWords::Does(first, in_pieces(cut, seams, pieces, flags, voice))
            }
            Self::LeaveBare { bare_mm } => bare(format!(
                "leave the recess bare: {} of panel, measured along it; the film ends on the flats",
                length(bare_mm)
            )),
            Self::RuledOut { option, why } => {
                OptionWords::DoesNot(format!("{}: {}", option.word(), why.say(voice)))
            }
        }
    }

    /// What would do in one line, for somebody in the bay; nothing of what would not.
    pub fn brief(&self, voice: Voice) -> Option<String> {
        let length = |mm: &f64| voice.length(*mm);
        Some(match self {
            Self::MoreClear {
                clear_left_mm,
                clear_right_mm,
                bridge_mm,
            } => format!(
                "more clear panel: {} to the left and {} to the right, for a bridge of {}",
                length(clear_left_mm),
                length(clear_right_mm),
                length(bridge_mm)
            ),
            Self::FarSideLoose {
                artwork_shift_mm,
                loose,
                ..
            } => format!(
                "one way with the {} side loose: no stretch, artwork and sheet edge there move by {}; not at a closed end",
                loose.word(),
                length(artwork_shift_mm)
            ),
            Self::FilmClass {
                name, bridge_mm, ..
            } => format!("film class {name}: bridge {}", length(bridge_mm)),
            Self::ReliefCut {
                strip_mm,
                overlap_mm,
                ..
            } => format!(
                "a relief cut and an inlay strip {} wide, {} of it overlap on each side; never cut on paint",
                length(strip_mm),
                length(overlap_mm)
            ),
            Self::SeparateInlay { piece_mm, .. } => format!(
                "a separate inlay {} wide, the flats trimmed where the recess begins; never cut on paint",
                length(piece_mm)
            ),
            Self::LeaveBare { bare_mm } => {
                format!("leave the recess bare: {} along the panel", length(bare_mm))
            }
            Self::RuledOut { .. } => return None,
        })
    }
}

/// What would do in one line, or what would not.
impl Say for Alternative {
    fn say(&self, voice: Voice) -> String {
        self.brief(voice)
            .unwrap_or_else(|| match self.words(voice) {
                OptionWords::Does(first, _) => first,
                OptionWords::DoesNot(why) => format!("would not do: {why}"),
            })
    }
}

/// What belongs to film in pieces; `cut`: what its edges are, and what lies over them.
fn in_pieces(
    cut: (&str, &str),
    seams: &[Seam],
    pieces: &[FilmPiece],
    flags: &[Told<Notice>],
    voice: Voice,
) -> Vec<String> {
    let seams = seams.iter().map(|s| seam(s, cut.0, cut.1, voice));
    let flags = flags.iter().map(|f| format!("watch: {}", f.say(voice)));
    let alone = std::iter::once(alone(pieces, voice));
    seams.chain(alone).chain(flags).collect()
}

/// A seam.
fn seam(seam: &Seam, edge: &str, over: &str, voice: Voice) -> String {
    let (mm, counted) = (seam.from_lip_mm, seam.counted_from);
    let end = match counted {
        Corner::Lip => "lip",
        Corner::Foot => "foot",
    };
    let lip = if mm.abs() < 0.05 {
        format!("at the {end}")
    } else if mm > 0.0 {
        format!("{} inwards from its {end}", voice.length(mm))
    } else {
        format!("{} beyond its {end}", voice.length(-mm))
    };
    let foot = seam.from_foot_mm.filter(|_| counted != Corner::Foot);
    let foot = foot.map_or_else(String::new, |mm| {
        format!(", {} from the nearest foot", voice.length(mm))
    });
    format!(
        "{}: {edge} on the {}, x = {}, {lip}{foot}; the {over} ends {} beyond, on the {}",
        seam.side.word(),
        seam.zone.word(),
        voice.length(seam.edge.x_mm),
        voice.length(seam.overlap_mm),
        seam.over_zone.word()
    )
}

/// The pieces, each laid alone.
fn alone(pieces: &[FilmPiece], voice: Voice) -> String {
    let one = |p: &FilmPiece| {
        format!(
            "{} {} of film, stretched about {}",
            p.name.word(),
            voice.length(p.film_mm),
            voice.share(p.free_pct)
        )
    };
    let each: Vec<String> = pieces.iter().map(one).collect();
    format!("laid alone with an edge free: {}", each.join("; "))
}

impl NoWidth {
    /// Why no width works, in numbers, a line each.
    pub fn lines(&self, voice: Voice) -> Vec<String> {
        let length = |mm: f64| voice.length(mm);
        let mut lines = Vec::new();
        if let Some(least) = self.least_bridge_mm {
            lines.push(format!(
                "the plain rule needs {}; mouth {} and clear panel {} + {} give {}",
                voice.at_least(least),
                length(self.mouth_mm),
                length(self.clear_left_mm),
                length(self.clear_right_mm),
                length(self.widest_bridge_mm)
            ));
        }
        let at = self
            .peak_at
            .map_or_else(String::new, |p| format!(", {}", p.say(voice)));
        lines.push(match self.cause {
            Cause::Unsolved => "the widest bridge could not be laid; see the notes".to_owned(),
            Cause::Tool => format!(
                "a gap of {} stays under the film, out of the tool's reach",
                length(self.gap_mm)
            ),
            _ => format!(
                "at {} deepest point first peaks at {}{at}; the limit is {}",
                length(self.widest_bridge_mm),
                voice.peak_beside(self.peak_pct, self.limit_pct),
                voice.limit(self.limit_pct)
            ),
        });
        if let (Some(limit), Some(peak)) = (self.recess_limit_pct, self.recess_peak_pct) {
            lines.push(format!(
                "between the lips it peaks at {}; the limit there is {}",
                voice.beside(peak, limit),
                voice.limit(limit)
            ));
        }
        lines
    }
}
