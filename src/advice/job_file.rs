//! A question as TOML: the job file.

use super::question::Question;
use crate::fault::{Hint, Refused};
use crate::film::read_toml;
use serde_json::Value;

/// Reads a job file.
///
/// # Errors
/// [`Refused`]: line, key, and the nearest known key.
pub fn read_job(file: &str, text: &str) -> Result<Question, Refused> {
    read_toml(text).map_err(|mut fault| {
        fault.hint.get_or_insert(Hint::CopyJob);
        Refused::new(file, vec![fault])
    })
}

impl Question {
    /// The question as the TOML of a job file.
    pub fn to_toml(&self) -> String {
        let mut text = String::new();
        // A question holds numbers, texts and lists of them: all of it is JSON, and TOML.
        if let Ok(Value::Object(keys)) = serde_json::to_value(self) {
            let is_table = |key: &(&String, &Value)| key.1.is_object();
            let (tables, plain): (Vec<_>, Vec<_>) = keys.iter().partition(is_table);
            for (key, value) in plain {
                assign(&mut text, key, value);
            }
            for (name, table) in tables {
                text.push_str(&format!("\n[{name}]\n"));
                for (key, value) in table.as_object().into_iter().flatten() {
                    assign(&mut text, key, value);
                }
            }
        }
        text
    }
}

/// Writes `key = value`, a text of several lines as such.
fn assign(text: &mut String, key: &str, value: &Value) {
    match value {
        Value::Null => {}
        Value::Array(all) if all.is_empty() => {}
        Value::String(lines) if reads_as_lines(lines) => {
            text.push_str(&format!("{key} = '''\n{lines}'''\n"));
        }
        value => text.push_str(&format!("{key} = {}\n", inline(value))),
    }
}

/// Can a text stand as it is between three apostrophes?
fn reads_as_lines(text: &str) -> bool {
    let plain = |c: char| c == '\n' || c == '\t' || !c.is_control();
    text.contains('\n') && text.chars().all(plain) && !text.contains("'''") && !text.ends_with('\'')
}

/// A value on one line. TOML has the escapes of JSON.
fn inline(value: &Value) -> String {
    match value {
        Value::Array(all) => {
            let all: Vec<String> = all.iter().map(inline).collect();
            format!("[{}]", all.join(", "))
        }
        Value::Object(keys) => {
            let said = keys.iter().filter(|(_, value)| !value.is_null());
            let all: Vec<String> = said.map(|(k, v)| format!("{k} = {}", inline(v))).collect();
            format!("{{ {} }}", all.join(", "))
        }
        value => value.to_string().replace('\u{7f}', "\\u007f"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::{Bay, OrderChoice, SectionText};
    use crate::film::film_named;

    #[test]
    fn what_is_written_is_read_again() {
        let mut full = Question {
            name: Some("Door \u{7f}\"left\" \u{1}".to_owned()),
            valley: Some(2),
            depths: Some(true),
            bridge_mm: Some(0.1 + 0.2),
            order: Some(OrderChoice::Steps("press 0, spread left".to_owned())),
            film_class: film_named("print-cast"),
            bay: Some(Bay {
                warm_c: Some(-5.0),
                ..Bay::default()
            }),
            ..Question::default()
        };
        for csv in [
            "x_mm,y_mm\n0,0\n1,-1\n2,0\n",
            "\n'a'\r\n'''",
            "it's\n'",
            "# \"\\\n\t1;2",
            "",
        ] {
            full.section = Some(SectionText::Csv(csv.to_owned()));
            let text = full.to_toml();
            assert_eq!(read_job("a.toml", &text).as_ref(), Ok(&full), "{text}");
        }
        let empty = Question::default();
        assert_eq!(empty.to_toml(), "");
        assert_eq!(read_job("a.toml", ""), Ok(empty));
    }

    #[test]
    fn an_unknown_key_says_its_line_and_the_nearest_known_one() {
        for (text, words, hint) in [
            (
                "film = \"wrap-cast\"\nbrigde_mm = 3\n",
                "a.toml:2: ",
                "`bridge_mm`",
            ),
            ("[bay]\nwarn_c = 80\n", "a.toml:2: ", "`warm_c`"),
        ] {
            let error = read_job("a.toml", text).unwrap_err();
            assert!(error.to_string().starts_with(words), "{error}");
            assert!(error.to_string().contains(hint), "{error}");
        }
    }
}
