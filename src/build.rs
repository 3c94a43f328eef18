//! Embeds the library: every clause and every family of product data under `sheets/<standard>/`, and the data of public
//! standards and the cards in `data/` and `cards/` below, in sorted order.

#![expect(clippy::disallowed_methods, reason = "a build script reads the source tree by its environment")]

use std::path::Path;
use std::{env, fs};

fn main() {
    println!("cargo::rerun-if-changed=sheets");
    let root = env::var("CARGO_MANIFEST_DIR").expect("cargo sets the folder of the package");
    let sheets = Path::new(&root).join("sheets");
    let (mut clauses, mut families, mut data, mut cards) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for standard in sorted(&sheets) {
        let folder = sheets.join(&standard);
        // A folder with a manifest is a package, not a part of the library.
        if !folder.is_dir() || folder.join("soleplate.toml").exists() {
            continue;
        }
        let (of_data, of_cards) = (folder.join("data"), folder.join("cards"));
        for (folder, extension, entries) in [
            (&folder, ".md", &mut clauses),
            (&folder, ".toml", &mut families),
            (&of_data, ".toml", &mut data),
            (&of_cards, ".toml", &mut cards),
        ] {
            for file in sorted(folder) {
                if let Some(slug) = file.strip_suffix(extension) {
                    let path = folder.join(&file);
                    println!("cargo::rerun-if-changed={}", path.display());
                    entries.push(format!("    ({:?}, include_str!({:?})),\n", format!("{standard}/{slug}"), path));
                }
            }
        }
    }
    let text = format!(
        "/// The clauses in the binary: path and text.\nconst SHIPPED: &[(&str, &str)] = &[\n{}];\n\
         /// The families of product data in the binary: path and text.\nconst SHIPPED_FAMILIES: &[(&str, &str)] = &[\n{}];\n\
         /// The data of public standards in the binary: path and text.\nconst SHIPPED_DATA: &[(&str, &str)] = &[\n{}];\n\
         /// The cards in the binary: path and text.\nconst SHIPPED_CARDS: &[(&str, &str)] = &[\n{}];\n",
        clauses.concat(),
        families.concat(),
        data.concat(),
        cards.concat()
    );
    let out = env::var("OUT_DIR").expect("cargo sets the folder for generated files");
    fs::write(Path::new(&out).join("shipped.rs"), text).expect("the generated file can be written");
}

fn sorted(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}
