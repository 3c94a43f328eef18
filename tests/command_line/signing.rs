//! A package whose sheet is signed: keys, lists and what is typed.

use crate::run::{Folder, Run};
use std::process::{Command, Output};

/// Roles, and who may hold them; a person more than needed, so that roles can be mixed up.
pub const MANIFEST: &str = "title = \"Tram depot\"\n\n[sign_off.roles]\ncreator = [\"*@fellmere.example\"]\n\
                            checker = [\"*@fellmere.example\"]\n";

/// The package of `Run` with keys of two people, `kl` and `rt`, and one, `xx`, whom nobody knows.
pub struct Signing {
    pub folder: Folder,
}

impl Signing {
    pub fn of(kind: &str) -> Self {
        let signing = Self { folder: Run::beside_package(kind) };
        for name in ["kl", "rt", "xx"] {
            let key = signing.folder.path(name);
            let made =
                Command::new("ssh-keygen").args(["-q", "-t", "ed25519", "-N", "", "-C", "", "-f"]).arg(key).output();
            assert!(made.expect("these tests need ssh-keygen, of OpenSSH").status.success());
        }
        signing.folder.write("depot/soleplate.toml", MANIFEST);
        signing.allow(&["kl", "rt"], "");
        signing
    }

    /// Lists keys, each under the name of its owner, with options.
    pub fn allow(&self, names: &[&str], options: &str) {
        self.folder.write("depot/allowed_signers", self.list(names, options));
    }

    pub fn list(&self, names: &[&str], options: &str) -> String {
        let line =
            |name: &&str| format!("{name}@fellmere.example {options} {}", self.folder.read(&format!("{name}.pub")));
        names.iter().map(line).collect()
    }

    pub fn run(&self, arguments: &[&str]) -> Answer {
        Answer::of(&self.folder.command().args(arguments).output().unwrap())
    }

    /// Signs `b4.md` under a name with the key of that name.
    pub fn sign(&self, name: &str, role: &str, more: &[&str]) -> Answer {
        let signer = format!("{name}@fellmere.example");
        let mut arguments = vec!["sign", "depot/b4.md", "--role", role, "--as", &signer, "--key", name];
        arguments.extend(["--date", "2026-11-20"]);
        arguments.extend(more);
        self.run(&arguments)
    }

    pub fn tick_all(&self) {
        self.run(&["review", "depot/b4.md", "--tick", "1-3", "--by", "R.T.", "--date", "2026-11-20"]).expect(0);
    }

    /// Creator and checker have signed.
    pub fn signed(kind: &str) -> Self {
        let signing = Self::of(kind);
        let more: &[&str] = if kind == "not-satisfied" { &["--although-not-satisfied"] } else { &[] };
        signing.sign("kl", "creator", more).expect(0);
        signing.tick_all();
        signing.sign("rt", "checker", more).expect(0);
        signing
    }

    /// The path of the one sign-off in a role.
    pub fn sign_off(&self, role: &str) -> String {
        let names = self.sign_offs();
        let found: Vec<&String> = names.iter().filter(|name| name.contains(&format!(".{role}."))).collect();
        assert_eq!(found.len(), 1, "{names:?}");
        format!("depot/sign-offs/{}", found[0])
    }

    /// The names of all files among the sign-offs.
    pub fn sign_offs(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.folder.path("depot/sign-offs")) else { return Vec::new() };
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    }

    /// Changes a file of the package.
    pub fn change(&self, path: &str, from: &str, to: &str) {
        let text = self.folder.read(path);
        assert!(text.contains(from), "{from:?} is not in {text}");
        self.folder.write(path, text.replace(from, to));
    }

    /// Issues the page of `b4.md` and gives it.
    pub fn issue(&self) -> String {
        let answer = self.run(&["render", "depot", "--issue"]);
        assert!(answer.code < 4, "{answer:?}");
        self.folder.read("out/b4.html")
    }
}

/// What a run left on the terminal.
#[derive(Debug)]
pub struct Answer {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

impl Answer {
    fn of(output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        Self { code: output.status.code().unwrap(), stdout: text(&output.stdout), stderr: text(&output.stderr) }
    }

    #[track_caller]
    pub fn expect(self, code: i32) -> Self {
        assert_eq!(self.code, code, "{self:#?}");
        self
    }

    #[track_caller]
    pub fn says(self, words: &str) -> Self {
        assert!(self.stdout.contains(words), "{words:?} is not in {self:#?}");
        self
    }

    #[track_caller]
    pub fn tells(self, words: &str) -> Self {
        assert!(self.stderr.contains(words), "{words:?} is not in {self:#?}");
        self
    }
}
