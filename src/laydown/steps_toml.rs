//! A custom order of pressing as TOML, with the line of each fault.

use super::steps::{Goal, Patch, Spot, Step, Steps, fault, no_steps};
use crate::fault::{Fault, Phrase, Refused};
use crate::section::Side;
use toml::de::{DeTable, DeValue};

/// Keys of a step.
const KEYS: [&str; 5] = ["press", "spread", "y", "from", "from_y"];

/// Reads steps from TOML, one table `[[step]]` each:
///
/// ```toml
/// [[step]]
/// press = 0.0
/// [[step]]
/// spread = "left"     # or a number: as far as that x
/// [[step]]
/// spread = -12.5
/// from = "right"      # or a number: the patch that has that x
/// ```
///
/// `y` and `from_y` pick a place on a vertical wall.
///
/// # Errors
/// [`Refused`]: all steps that cannot be read.
pub fn read_steps_toml(file: &str, text: &str) -> Result<Steps, Refused> {
    // A file saved with a byte order mark is as good as one without.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = Reader {
        ends: text.match_indices('\n').map(|(at, _)| at).collect(),
        faults: Vec::new(),
        steps: Vec::new(),
    };
    match DeTable::parse(text) {
        Ok(table) => reader.table(table.get_ref()),
        Err(e) => {
            let at = e.span().map_or(0, |s| s.start);
            let expected = format!("valid TOML ({})", e.message());
            reader.fault(0, at, "what is no TOML", expected);
        }
    }
    Refused::unless(file, reader.faults, reader.steps).and_then(Steps::new)
}

/// Steps and faults so far.
struct Reader {
    /// Where its lines end.
    ends: Vec<usize>,
    faults: Vec<Fault>,
    steps: Vec<Step>,
}

impl Reader {
    /// The fault of a step (0: of the file) at a byte of the text.
    fn fault(
        &mut self,
        step: usize,
        at: usize,
        found: impl Into<Phrase>,
        expected: impl Into<Phrase>,
    ) {
        let line = 1 + self.ends.partition_point(|&end| end < at);
        self.faults.push(fault(step, found, expected).placed(line));
    }

    fn table(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            if key.get_ref() != "step" {
                let found = format!("the unknown key `{}`", key.get_ref());
                self.fault(0, value.span().start, found, "only tables `[[step]]`");
            }
        }
        match table.get("step").map(|v| (v.get_ref(), v.span().start)) {
            Some((DeValue::Array(rows), _)) if !rows.is_empty() => {
                for (i, row) in rows.iter().enumerate() {
                    let at = row.span().start;
                    match row.get_ref().as_table() {
                        Some(step) => self.step(i + 1, at, step),
                        None => self.fault(i + 1, at, "no table", "`[[step]]`"),
                    }
                }
            }
            Some((DeValue::Table(_), at)) => {
                self.fault(0, at, "`[step]`", "`[[step]]`, once for each step");
            }
            _ => self.faults.push(no_steps()),
        }
    }

    fn step(&mut self, number: usize, at: usize, step: &DeTable<'_>) {
        let before = self.faults.len();
        for (key, value) in step {
            if !KEYS.contains(&key.get_ref().as_ref()) {
                let found = format!("the unknown key `{}`", key.get_ref());
                let expected = "`press` or `spread`, with `from`, `y`, `from_y`";
                self.fault(number, value.span().start, found, expected);
            }
        }
        let y = self.optional(number, step, "y");
        let from_y = self.optional(number, step, "from_y");
        let read = match (step.get("press"), step.get("spread")) {
            (Some(_), None) => {
                for key in ["from", "from_y"] {
                    if let Some(value) = step.get(key) {
                        let found = format!("`{key}` beside `press`");
                        self.fault(number, value.span().start, found, "it beside `spread` only");
                    }
                }
                self.optional(number, step, "press")
                    .map(|x| Step::Press(Spot { x, y }))
            }
            (None, Some(_)) => {
                let to = self.place(number, step, "spread");
                let from = self.place(number, step, "from");
                for (place, key) in [(to, "y"), (from, "from_y")] {
                    if let (Some(value), Some(Place::Side(_)) | None) = (step.get(key), place) {
                        let found = format!("`{key}` without an x");
                        self.fault(number, value.span().start, found, "it beside a number");
                    }
                }
                to.map(|to| Step::Spread {
                    to: match to {
                        Place::Side(side) => Goal::Next(side),
                        Place::X(x) => Goal::At(Spot { x, y }),
                    },
                    from: match from {
                        None => Patch::Pressed,
                        Some(Place::Side(side)) => Patch::Flat(side),
                        Some(Place::X(x)) => Patch::At(Spot { x, y: from_y }),
                    },
                })
            }
            (both, _) => {
                let found = match both {
                    Some(_) => "`press` and `spread` in one step",
                    None => "neither `press` nor `spread`",
                };
                self.fault(number, at, found, "one of them");
                None
            }
        };
        if before == self.faults.len() {
            self.steps.extend(read);
        }
    }

    /// A number under a key, if it is there.
    fn optional(&mut self, number: usize, step: &DeTable<'_>, key: &str) -> Option<f64> {
        let value = step.get(key)?;
        let read = as_number(value.get_ref());
        if read.is_none() {
            let found = format!("`{key}` that is no finite number");
            self.fault(number, value.span().start, found, "x or y in mm");
        }
        read
    }

    /// A side or a number under a key, if it is there.
    fn place(&mut self, number: usize, step: &DeTable<'_>, key: &str) -> Option<Place> {
        let value = step.get(key)?;
        let read = match value.get_ref() {
            DeValue::String(word) if word == "left" => Some(Place::Side(Side::Left)),
            DeValue::String(word) if word == "right" => Some(Place::Side(Side::Right)),
            other => as_number(other).map(Place::X),
        };
        if read.is_none() {
            let found = match value.get_ref() {
                DeValue::String(word) => format!("`{key} = \"{word}\"`"),
                _ => format!("`{key}` that is no finite number"),
            };
            let expected = "\"left\", \"right\" or x in mm, without quotes";
            self.fault(number, value.span().start, found, expected);
        }
        read
    }
}

/// A side or an abscissa.
#[derive(Debug, Clone, Copy)]
enum Place {
    Side(Side),
    X(f64),
}

fn as_number(value: &DeValue<'_>) -> Option<f64> {
    let text = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str(),
        DeValue::Float(f) => f.as_str(),
        _ => return None,
    };
    let value: f64 = text.replace('_', "").parse().ok()?;
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::read_steps_toml;
    use crate::fault::{Fault, Part};

    fn place(fault: &Fault) -> (usize, Option<usize>) {
        match fault.at.part {
            Part::Step(step) => (step, fault.at.place),
            _ => (0, fault.at.place),
        }
    }

    #[test]
    fn a_file_and_its_inline_form_are_one() {
        let text = "[[step]]\npress = 0\n[[step]]\nspread = \"left\"\n[[step]]\nspread = -40.0\ny = -1_2.5\nfrom = \"right\"\n[[step]]\nspread = \"right\"\nfrom = 3.5\nfrom_y = -2\n";
        assert_eq!(
            read_steps_toml("order.toml", text).unwrap().to_string(),
            "press 0, spread left, spread -40 y -12.5 from right, spread right from 3.5 y -2"
        );
    }

    #[test]
    fn every_faulty_step_names_its_line() {
        let text = "[[step]]\npress = \"0\"\n[[step]]\nspread = \"up\"\n[[step]]\npush = 3\n[[step]]\npress = 1\nspread = 2\n[[step]]\nspread = \"left\"\ny = 3\n";
        let error = read_steps_toml("order.toml", text).unwrap_err();
        let found: Vec<_> = error.faults.iter().map(place).collect();
        assert_eq!(
            found,
            [
                (1, Some(2)),
                (2, Some(4)),
                (3, Some(6)),
                (3, Some(5)),
                (4, Some(7)),
                (5, Some(12))
            ]
        );
        for (text, words) in [
            ("", "no steps"),
            ("step = 3", "no steps"),
            ("[step]\npress = 0", "`[step]`"),
            ("[[step]\npress = 0", "no TOML"),
            ("[[step]]\npress = nan", "no finite number"),
            ("[[step]]\npress = 0\nfrom = 1", "`from` beside `press`"),
            ("order = 1\n[[step]]\npress = 0", "unknown key `order`"),
        ] {
            let error = read_steps_toml("order.toml", text).unwrap_err().to_string();
            assert!(error.contains(words), "{text}: {error}");
        }
    }
}
