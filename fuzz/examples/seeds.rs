//! Writes what the fuzzers start from: `cargo run --example seeds` in this folder.

use std::path::Path;

fn main() -> std::io::Result<()> {
    for name in tautspan_fuzz::names() {
        let folder = Path::new("corpus").join(name);
        std::fs::create_dir_all(&folder)?;
        for (i, seed) in tautspan_fuzz::seeds(name).iter().enumerate() {
            std::fs::write(folder.join(format!("seed-{i:02}")), seed)?;
        }
    }
    Ok(())
}
