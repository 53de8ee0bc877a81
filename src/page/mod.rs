//! The page: the engine under a finger.
//!
//! The script of the page asks in JSON and is answered in JSON ([`answer`]); the same
//! function stands behind the page's WebAssembly (`face`) and behind the local server, so
//! both give what the command line's `--json` gives. The page itself is three files,
//! `index.html`, `style.css` and `script.js`, put together by `bundle`.

mod ask;
#[cfg(feature = "page")]
mod bundle;
mod catalogue;
mod engine;
#[cfg(target_arch = "wasm32")]
mod face;
mod failure;
mod laying;
mod reading;
#[cfg(feature = "serve")]
mod server;

pub use catalogue::{Catalogue, CatalogueRecess};
pub use engine::answer;

#[cfg(feature = "page")]
pub use bundle::{PageFile, page_file, page_folder, page_served};
#[cfg(feature = "serve")]
pub use server::serve;
