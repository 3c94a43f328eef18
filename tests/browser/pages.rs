//! The pages that the program renders, each with the values in the JSON beside it.

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// A rendered page.
pub struct Page {
    /// The path below the folder of all pages, as `demo/gantry-base-b4.html`.
    pub name: String,
    pub path: PathBuf,
    pub html: String,
    /// The values of the calculation; an index has none.
    pub values: Option<Value>,
}

impl Page {
    pub fn address(&self) -> String {
        format!("file://{}", self.path.display())
    }

    /// The lines of the calculation as the JSON tells them.
    pub fn lines(&self) -> &[Value] {
        self.values.as_ref().and_then(|values| values["lines"].as_array()).map_or(&[], Vec::as_slice)
    }

    /// The identification number of the calculation.
    pub fn number(&self) -> Option<&str> {
        self.values.as_ref()?["number"].as_str()
    }
}

/// Every page of every package that is shipped, in the order of their names.
pub struct Pages {
    all: Vec<Page>,
    _folder: TempDir,
}

impl Pages {
    pub fn render() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut all = Vec::new();
        for (name, bytes) in files(&render_shipped(folder.path()), "") {
            if !name.ends_with(".html") {
                continue;
            }
            let path = folder.path().join("pages").join(&name);
            let values = std::fs::read(path.with_extension("json")).ok();
            let values = values.map(|bytes| serde_json::from_slice(&bytes).unwrap());
            all.push(Page { name, path, html: String::from_utf8(bytes).unwrap(), values });
        }
        assert!(all.iter().any(|page| page.values.is_some()), "no calculation was rendered");
        Self { all, _folder: folder }
    }

    pub fn iter(&self) -> impl Iterator<Item = &Page> {
        self.all.iter()
    }

    /// The pages of calculations, without those that list them.
    pub fn calculations(&self) -> impl Iterator<Item = &Page> {
        self.iter().filter(|page| page.values.is_some())
    }
}

/// Renders both demo packages and a new package below a folder; gives the folder of the pages.
pub fn render_shipped(folder: &Path) -> PathBuf {
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets");
    let [demo, records] = ["fellmere-tram-depot", "fellmere-tram-depot-records"].map(|name| sheets.join(name));
    let (new, pages) = (folder.join("new"), folder.join("pages"));
    soleplate(&["new".as_ref(), &new]);
    for (package, name) in [(&demo, "demo"), (&records, "records"), (&new, "new")] {
        soleplate(&["render".as_ref(), package, "--out".as_ref(), &pages.join(name)]);
    }
    pages
}

/// Runs the program.
pub fn soleplate(arguments: &[&Path]) {
    let output = Command::new(env!("CARGO_BIN_EXE_soleplate")).args(arguments).output().unwrap();
    // A check that is not satisfied, or not valid, is a result, which a demo may show.
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0 | 1 | 3)), "{arguments:?} failed: {words}");
}

/// Every file below a folder with its bytes; `above` stands before the names.
pub fn files(folder: &Path, above: &str) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{above}{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            found.extend(files(&path, &format!("{name}/")));
        } else {
            found.insert(name, std::fs::read(path).unwrap());
        }
    }
    found
}
