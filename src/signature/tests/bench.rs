//! A folder with keys, `ssh-keygen`, and a statement to sign.

use crate::signature::{
    AllowedSigners, Conversation, Digest, Facts, NAMESPACE, PROGRAM, Part, RevokedKeys, Role, SignOff, Statement,
    Verdict, sign_with_ssh_keygen, verify,
};
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// A temporary folder.
pub struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    #[expect(clippy::disallowed_methods, reason = "what a test writes need not last")]
    pub fn write(&self, name: &str, text: &str) -> PathBuf {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name)
    }

    #[expect(clippy::disallowed_methods, reason = "the test looks at what was written")]
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Runs `ssh-keygen` in the folder, in a time zone.
    pub fn keygen_in_zone(&self, zone: &str, arguments: &[&str], input: &str) -> Output {
        let mut child = Command::new(PROGRAM)
            .args(arguments)
            .current_dir(self.folder.path())
            .env("TZ", zone)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("these tests need ssh-keygen, of OpenSSH");
        // It may refuse its arguments before it reads.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        child.wait_with_output().unwrap()
    }

    pub fn keygen(&self, arguments: &[&str], input: &str) -> Output {
        self.keygen_in_zone("UTC0", arguments, input)
    }

    /// Makes a key of a kind without a passphrase, and gives its public half without the comment.
    pub fn key(&self, name: &str, kind: &str) -> String {
        self.locked_key(name, kind, "")
    }

    pub fn locked_key(&self, name: &str, kind: &str, passphrase: &str) -> String {
        let made = self.keygen(&["-q", "-t", kind, "-N", passphrase, "-C", "", "-f", name], "");
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        self.public(name)
    }

    pub fn public(&self, name: &str) -> String {
        self.read(&format!("{name}.pub")).trim().to_owned()
    }

    /// Signs as the product does.
    pub fn sign(&self, statement: &Statement, key: &str) -> SignOff {
        sign_with_ssh_keygen(statement, &self.path(key), PROGRAM.as_ref(), Conversation::Captured).unwrap()
    }

    /// Signs by `ssh-keygen` alone, with the text on standard input, for any purpose.
    pub fn armour(&self, text: &str, key: &str, namespace: &str) -> String {
        let signed = self.keygen(&["-Y", "sign", "-n", namespace, "-f", key], text);
        assert!(signed.status.success(), "{}", String::from_utf8_lossy(&signed.stderr));
        String::from_utf8(signed.stdout).unwrap()
    }

    /// Whether `ssh-keygen` accepts a sign-off, with further options.
    pub fn keygen_accepts(&self, zone: &str, sign_off: &SignOff, allowed: &str, more: &[&str]) -> bool {
        self.write("allowed_signers", allowed);
        self.write("sig", &sign_off.armour());
        let signer = sign_off.statement.facts().signer.as_str();
        let mut arguments = vec!["-Y", "verify", "-f", "allowed_signers", "-I", signer, "-n", NAMESPACE, "-s", "sig"];
        arguments.extend(more);
        self.keygen_in_zone(zone, &arguments, sign_off.statement.text()).status.success()
    }
}

pub const DIGEST: &str = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
pub const OTHER_DIGEST: &str = "60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752";

/// What is stated where a test does not care.
pub fn facts() -> Facts {
    let part = |name: &str, digest: &str| Part { name: name.to_owned(), digest: digest.parse().unwrap() };
    Facts {
        sheet: "bases/b4.md".to_owned(),
        number: "FTD-ST-CALC-004".to_owned(),
        title: "Base plate B4, 20 × 300 × 300 mm".to_owned(),
        revision: "P01".to_owned(),
        digest: digest(DIGEST),
        rules: "creator, checker, approver; different people; every line ticked".to_owned(),
        role: Role::Checker,
        signer: "rt@fellmere.example".parse().unwrap(),
        date: "2026-11-20".parse().unwrap(),
        after: Vec::new(),
        parts: vec![part("clause en-1992-4/pull-out", OTHER_DIGEST), part("sheet bases/b4.md", DIGEST)],
    }
}

pub fn statement() -> Statement {
    Statement::new(facts()).unwrap()
}

pub fn digest(hex: &str) -> Digest {
    hex.parse().unwrap()
}

pub fn allowed(text: &str) -> AllowedSigners {
    AllowedSigners::read("allowed_signers", text.as_bytes()).unwrap()
}

pub fn judge(sign_off: &SignOff, signers: &str) -> Verdict {
    verify(sign_off, &allowed(signers), &RevokedKeys::default())
}
