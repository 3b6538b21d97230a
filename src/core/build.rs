//! The tables are compiled in: every text of `kb/` as it is, and the learned weights as bytes that need no reading.

#[path = "src/reading/learned/weights.rs"]
#[allow(dead_code)] // the program asks the weights, the build only writes them
mod weights;

use std::{
    env, fs, io,
    path::{Path, PathBuf},
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo:rerun-if-changed=../../kb");
    println!("cargo:rerun-if-changed=src/reading/learned/weights.rs");
    let kb = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?)
        .join("../../kb")
        .canonicalize()?;
    let out = PathBuf::from(env::var("OUT_DIR")?);
    let mut files = Vec::new();
    walk(&kb, &mut files)?;
    files.sort();
    let mut tables = String::from("&[\n");
    let mut learned = String::from("&[\n");
    for file in files {
        let below = file.strip_prefix(&kb)?.to_string_lossy().replace('\\', "/");
        if let Some(name) = below
            .strip_prefix("learned/")
            .and_then(|n| n.strip_suffix(".tsv"))
        {
            let fitted = weights::Fitted::from_text(&fs::read_to_string(&file)?)
                .map_err(|fault| format!("kb/{below}:{}: {}", fault.line, fault.what))?;
            let bytes = out.join(format!("{name}.weights"));
            fs::write(&bytes, fitted.to_bytes())?;
            learned.push_str(&format!(
                "({name:?}, include_bytes!(concat!(env!(\"OUT_DIR\"), \"/{name}.weights\"))),\n"
            ));
        } else {
            // By the folder as it is when the crate is compiled: a copy elsewhere includes its own tables.
            tables.push_str(&format!(
                "({below:?}, include_str!(concat!(env!(\"CARGO_MANIFEST_DIR\"), \"/../../kb/{below}\"))),\n"
            ));
        }
    }
    fs::write(out.join("tables.rs"), tables + "]\n")?;
    fs::write(out.join("learned.rs"), learned + "]\n")?;
    Ok(())
}

fn walk(folder: &Path, out: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            walk(&path, out)?;
        } else if path
            .extension()
            .is_some_and(|e| e == "toml" || e == "txt" || e == "tsv")
        {
            out.push(path);
        }
    }
    Ok(())
}
