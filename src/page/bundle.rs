//! Puts the page together: one file that opens from disk, a folder for a static host, and
//! the files that the local server gives.
//!
//! All three are the same `index.html`, `style.css` and script. They differ in where the
//! engine is (inside the file, beside it, or behind the server) and in how the content
//! policy allows for that: by hashes in the single file, by origin elsewhere. No page may
//! ask any other host for anything.

use super::Catalogue;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use sha2::{Digest, Sha256};
use std::io::Write as _;

const INDEX: &str = include_str!("index.html");
const STYLE: &str = include_str!("style.css");
/// By these a folder on a host, or what the server gives, is installed as an app.
const MANIFEST: &str = include_str!("manifest.webmanifest");
const ICON: &str = include_str!("icon.svg");
const WORKER: &str = include_str!("worker.js");
const REGULAR: &[u8] = include_bytes!("../draw/font/regular.woff2");
const SEMIBOLD: &[u8] = include_bytes!("../draw/font/semibold.woff2");
/// The core as WebAssembly, compressed; made by `engine/build.sh`.
const ENGINE: &[u8] = include_bytes!("engine.wasm.gz");

/// The script's parts, in the order they build on each other.
const SCRIPT: [&str; 13] = [
    include_str!("script/engine.js"),
    include_str!("script/state.js"),
    include_str!("script/job.js"),
    include_str!("script/words.js"),
    include_str!("script/picture.js"),
    include_str!("script/charts.js"),
    include_str!("script/editor.js"),
    include_str!("script/card.js"),
    include_str!("script/trace_math.js"),
    include_str!("script/trace.js"),
    include_str!("script/class.js"),
    include_str!("script/sheet.js"),
    include_str!("script/main.js"),
];
/// What unpacks the script in the single file.
const LOADER: &str = include_str!("script/loader.js");
/// The part that starts the page.
const CONTROLS: &str = include_str!("script/controls.js");

/// A file of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageFile {
    /// Its name, without a folder.
    pub name: &'static str,
    /// Its media type.
    pub kind: &'static str,
    /// Its content.
    pub bytes: Vec<u8>,
}

impl PageFile {
    fn new(name: &'static str, kind: &'static str, bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            name,
            kind,
            bytes: bytes.into(),
        }
    }
}

/// The whole script.
fn script() -> String {
    format!(
        "(() => {{\n\"use strict\";\n{}\n{CONTROLS}\n}})();\n",
        SCRIPT.join("\n")
    )
}

/// The catalogue as a block of data that no `</script>` ends early.
fn catalogue() -> String {
    let text = serde_json::to_string(&Catalogue::builtin()).unwrap_or_default();
    format!(
        "<script type=\"application/json\" id=\"catalogue\">{}</script>",
        text.replace('<', "\\u003c")
    )
}

/// A text as gzip, as the browser unpacks it.
fn packed(text: &str) -> Vec<u8> {
    let mut to = GzEncoder::new(Vec::new(), Compression::best());
    // Nothing fails in memory; what was cut short would not start, and say so.
    let _ = to.write_all(text.as_bytes());
    to.finish().unwrap_or_default()
}

/// A source of the content policy that allows exactly this text.
fn hash(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

/// The index with its three places filled.
fn index(back: &str, head: &str, engine: &str, script: &str) -> String {
    let html = format!("<html lang=\"en\" data-engine=\"{back}\">");
    INDEX
        .replace("<html lang=\"en\">", &html)
        .replace("<!--head-->", head)
        .replace("<!--engine-->", engine)
        .replace("<!--script-->", script)
}

/// The page as one file: engine, script, styles, fonts and catalogue inside, the first two packed;
/// nothing is asked of any network.
pub fn page_file() -> String {
    let font = |bytes: &[u8]| format!("data:font/woff2;base64,{}", STANDARD.encode(bytes));
    let style = STYLE
        .replace("regular.woff2", &font(REGULAR))
        .replace("semibold.woff2", &font(SEMIBOLD));
    let script = script();
    let policy = format!(
        "default-src 'none'; script-src {} {} 'wasm-unsafe-eval'; style-src {}; font-src data:; worker-src blob:; base-uri 'none'; form-action 'none'",
        hash(LOADER),
        hash(&script),
        hash(&style)
    );
    let policy = format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">");
    let head = format!("{policy}\n<style>{style}</style>");
    let (catalogue, engine) = (catalogue(), STANDARD.encode(ENGINE));
    let engine = format!("<script type=\"text/plain\" id=\"engine\">{engine}</script>");
    let script = format!(
        "<script type=\"text/plain\" id=\"script\">{}</script>\n<script>{LOADER}</script>",
        STANDARD.encode(packed(&script))
    );
    index("inside", &head, &format!("{catalogue}\n{engine}"), &script)
}

const LINKS: &str = "<link rel=\"stylesheet\" href=\"style.css\">\n<link rel=\"manifest\" href=\"manifest.webmanifest\">\n<link rel=\"icon\" href=\"icon.svg\">";
const SCRIPT_LINK: &str = "<script src=\"script.js\"></script>";

/// What folder and server share.
fn parts(index: String) -> Vec<PageFile> {
    vec![
        PageFile::new("index.html", "text/html; charset=utf-8", index),
        PageFile::new("style.css", "text/css; charset=utf-8", STYLE),
        PageFile::new("script.js", "text/javascript; charset=utf-8", script()),
        PageFile::new("regular.woff2", "font/woff2", REGULAR),
        PageFile::new(
            "manifest.webmanifest",
            "application/manifest+json",
            MANIFEST,
        ),
        PageFile::new("icon.svg", "image/svg+xml", ICON),
        PageFile::new("semibold.woff2", "font/woff2", SEMIBOLD),
    ]
}

/// The page as a folder for any static host; it works without a network after the first
/// visit.
pub fn page_folder() -> Vec<PageFile> {
    let policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; font-src 'self'; connect-src 'self'; img-src 'self'; manifest-src 'self'; worker-src 'self' blob:; base-uri 'none'; form-action 'none'";
    let head =
        format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n{LINKS}");
    let mut files = parts(index("beside", &head, &catalogue(), SCRIPT_LINK));
    let binary = "application/octet-stream";
    files.push(PageFile::new("engine.bin", binary, ENGINE));
    // Any change of any file changes the worker, which then takes all of them anew.
    let mut all = Sha256::new();
    for file in &files {
        all.update(&file.bytes);
    }
    let bytes = all.finalize();
    let mark: String = bytes[..8].iter().map(|b| format!("{b:02x}")).collect();
    let worker = WORKER.replace("@hash@", &mark);
    files.push(PageFile::new(
        "worker.js",
        "text/javascript; charset=utf-8",
        worker,
    ));
    files
}

/// The page as the local server gives it, with the native engine behind it.
pub fn page_served() -> Vec<PageFile> {
    parts(index("server", LINKS, "", SCRIPT_LINK))
}
