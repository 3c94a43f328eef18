//! Runs the program as a user does: in a folder of its own, with arguments, looking at what it says and leaves behind.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// A sheet's head; the title is all that differs.
pub fn head(title: &str) -> String {
    format!(
        "+++\ntitle = \"{title}\"\nnumber = \"FTD-ST-CALC-020\"\nrevision = \"P01\"\n\
         purpose = \"To show how sheets come out.\"\nscope = \"Nothing real.\"\n+++\n\n"
    )
}

/// A sheet with one check of a demand against a resistance of 10 kN.
pub fn sheet(demand: &str) -> String {
    head("Bracket")
        + &format!(
            "```given\nN_Ed = {demand}  \"tension\"  within 0 kN to 50 kN\nN_Rd = 10 kN  \"resistance\"\n```\n\n\
             ```verify\nN_Ed <= N_Rd  \"pull-out\"\n```\n"
        )
}

/// A sheet that comes out in one of the ways: `satisfied`, `not-satisfied`, `not-valid` or `errors`.
pub fn sheet_that_is(kind: &str) -> String {
    match kind {
        "satisfied" => sheet("4 kN"),
        "not-satisfied" => sheet("12 kN"),
        "not-valid" => sheet("60 kN"),
        "errors" => sheet("4 kN").replace("N_Ed <= N_Rd ", "N_Ed <= N_Rt "),
        other => panic!("no sheet is called {other}"),
    }
}

/// What git takes in the place of its owner's settings.
pub const GIT: [(&str, &str); 6] = [
    ("GIT_CONFIG_GLOBAL", "/dev/null"),
    ("GIT_CONFIG_NOSYSTEM", "1"),
    ("GIT_AUTHOR_NAME", "R.T."),
    ("GIT_AUTHOR_EMAIL", "rt@example.invalid"),
    ("GIT_COMMITTER_NAME", "R.T."),
    ("GIT_COMMITTER_EMAIL", "rt@example.invalid"),
];

/// The day of every run: no test depends on the clock.
pub const TODAY: &str = "2026-11-26";

/// A temporary folder with a package in its folder `depot`.
pub struct Folder {
    folder: TempDir,
    inside: bool,
}

impl Folder {
    /// A package with one sheet, `b4.md`, that comes out in the way named.
    pub fn with_package(kind: &str) -> Self {
        let folder = Self::empty();
        folder.write("depot/soleplate.toml", "title = \"Tram depot\"\n");
        folder.write("depot/b4.md", sheet_that_is(kind));
        folder
    }

    pub fn empty() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        Self { folder, inside: false }
    }

    /// The same folder, with runs in the package's.
    pub fn inside(self) -> Self {
        Self { inside: true, ..self }
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    pub fn write(&self, path: &str, text: impl AsRef<[u8]>) -> &Self {
        let path = self.path(path);
        std::fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("folders can be made");
        std::fs::write(path, text).expect("files can be written");
        self
    }

    pub fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.path(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    pub fn holds(&self, path: &str) -> bool {
        self.path(path).exists()
    }

    /// The program, to be started beside the package or in it.
    pub fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_soleplate"));
        let here: &Path = self.folder.path();
        command.current_dir(if self.inside { here.join("depot") } else { here.to_owned() });
        command.env("SOLEPLATE_TODAY", TODAY);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    pub fn arguments<'a>(self, arguments: impl IntoIterator<Item = &'a str>) -> Run {
        Run {
            folder: self,
            arguments: arguments.into_iter().map(str::to_owned).collect(),
            stdout: Vec::new(),
            stderr: Vec::new(),
            whole: (None, None),
        }
    }
}

/// One run and what is expected of it.
pub struct Run {
    folder: Folder,
    arguments: Vec<String>,
    stdout: Vec<String>,
    stderr: Vec<String>,
    whole: (Option<String>, Option<String>),
}

impl Run {
    /// A run in the package's folder.
    pub fn in_package(kind: &str) -> Folder {
        Folder { inside: true, ..Folder::with_package(kind) }
    }

    /// A run in the folder that holds the package's.
    pub fn beside_package(kind: &str) -> Folder {
        Folder::with_package(kind)
    }

    /// The whole standard output, without spaces at the ends of lines.
    pub fn stdout(mut self, text: &str) -> Self {
        self.whole.0 = Some(text.to_owned());
        self
    }

    /// The whole standard error.
    pub fn stderr(mut self, text: &str) -> Self {
        self.whole.1 = Some(text.to_owned());
        self
    }

    /// A part of the standard output.
    pub fn says(mut self, text: &str) -> Self {
        self.stdout.push(text.to_owned());
        self
    }

    /// A part of the standard error.
    pub fn tells(mut self, text: &str) -> Self {
        self.stderr.push(text.to_owned());
        self
    }

    /// Runs, and checks the exit code and all that was expected; the folder can be looked at then.
    #[track_caller]
    pub fn exit(self, code: i32) -> Folder {
        self.finish(code).0
    }

    /// The same, with both streams.
    #[track_caller]
    pub fn finish(self, code: i32) -> (Folder, String, String) {
        let output = self.folder.command().args(&self.arguments).output().expect("the program can be started");
        let stdout = String::from_utf8(output.stdout).expect("the output is UTF-8");
        let stderr = String::from_utf8(output.stderr).expect("the errors are UTF-8");
        let all = format!("{:?}\n--- stdout\n{stdout}\n--- stderr\n{stderr}", self.arguments);
        assert_eq!(output.status.code(), Some(code), "{all}");
        for part in &self.stdout {
            assert!(stdout.contains(part), "{part:?} is not in the output of {all}");
        }
        for part in &self.stderr {
            assert!(stderr.contains(part), "{part:?} is not in the errors of {all}");
        }
        if let Some(whole) = &self.whole.0 {
            assert_eq!(trim(&stdout), trim(whole), "{all}");
        }
        if let Some(whole) = &self.whole.1 {
            assert_eq!(trim(&stderr), trim(whole), "{all}");
        }
        assert!(!stdout.contains('\x1b') && !stderr.contains('\x1b'), "colour in a pipe: {all}");
        (self.folder, stdout, stderr)
    }
}

fn trim(text: &str) -> String {
    let lines: Vec<&str> = text.trim().lines().map(str::trim_end).collect();
    lines.join("\n")
}
