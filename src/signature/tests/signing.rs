//! Having a statement signed, and what is said when that fails.

use super::bench::{Bench, judge, statement};
use crate::signature::{Conversation, PROGRAM, SignOff, SigningError, sign_with_ssh_keygen};
use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Stdio};

fn sign(key: &Path, program: &str) -> Result<SignOff, SigningError> {
    sign_with_ssh_keygen(&statement(), key, program.as_ref(), Conversation::Captured)
}

fn set_mode(path: &Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn a_private_key_that_others_can_read_signs_nothing() {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    let key = bench.path("rt");
    for mode in [0o644, 0o640, 0o604, 0o620] {
        set_mode(&key, mode);
        let error = sign(&key, PROGRAM).unwrap_err();
        assert!(matches!(&error, SigningError::KeyOpenToOthers { mode: found, .. } if found & 0o777 == mode));
        assert!(error.to_string().contains(&format!("(permissions {mode:04o})")), "{error}");
        assert!(error.to_string().contains("chmod 600"), "{error}");
    }
    set_mode(&key, 0o600);
    sign(&key, PROGRAM).unwrap();
    set_mode(&key, 0o400);
    sign(&key, PROGRAM).unwrap();
}

#[test]
fn an_encrypted_key_needs_its_passphrase() {
    let bench = Bench::new();
    bench.locked_key("rt", "ed25519", "seven wet sleepers");
    // Nobody is there to be asked.
    let error = sign(&bench.path("rt"), PROGRAM).unwrap_err().to_string();
    assert!(error.starts_with("ssh-keygen did not sign: "), "{error}");
    assert!(!error.contains('\n') && !error.contains("PRIVATE"), "{error}");
}

/// An agent that ends with the test.
struct Agent(Child);

impl Drop for Agent {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn an_agent_signs_for_a_public_key() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    let socket = bench.path("agent");
    let mut agent = Command::new("ssh-agent").arg("-D").arg("-a").arg(&socket).stdout(Stdio::piped()).spawn().unwrap();
    // It says where it listens once it does.
    let mut said = String::new();
    BufReader::new(agent.stdout.take().unwrap()).read_line(&mut said).unwrap();
    let _agent = Agent(agent);
    let added = Command::new("ssh-add").arg("-q").arg(bench.path("rt")).env("SSH_AUTH_SOCK", &socket).status().unwrap();
    assert!(added.success(), "{said}");
    std::fs::remove_file(bench.path("rt")).unwrap();
    // A public key may be readable by everybody.
    set_mode(&bench.path("rt.pub"), 0o644);
    let text = format!("#!/bin/sh\nSSH_AUTH_SOCK='{}' exec ssh-keygen \"$@\"\n", socket.display());
    let with_agent = bench.write("with_agent", &text);
    set_mode(&with_agent, 0o700);
    let signed = sign(&bench.path("rt.pub"), &with_agent.to_string_lossy()).unwrap();
    assert!(judge(&signed, &signers).is_good());
    let error = sign(&bench.path("rt.pub"), PROGRAM).unwrap_err();
    assert!(matches!(error, SigningError::Refused(_)), "a public key alone signs nothing: {error}");
}

#[test]
fn what_stands_in_the_way_is_said() {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    let missing = sign(&bench.path("none"), PROGRAM).unwrap_err();
    assert!(matches!(&missing, SigningError::NoKey { .. }), "{missing}");
    let folder = sign(&bench.path(""), PROGRAM).unwrap_err();
    assert!(folder.to_string().ends_with("it is no plain file"), "{folder}");
    let no_program = sign(&bench.path("rt"), "no-such-ssh-keygen").unwrap_err();
    assert_eq!(
        no_program.to_string(),
        "there is no program `no-such-ssh-keygen` to sign with: install OpenSSH, version 8.2 or newer"
    );
    bench.write("text", "no key at all\n");
    set_mode(&bench.path("text"), 0o600);
    let refused = sign(&bench.path("text"), PROGRAM).unwrap_err().to_string();
    assert!(refused.starts_with("ssh-keygen did not sign: "), "{refused}");
}

#[test]
fn a_signature_that_could_not_be_verified_is_not_given_back() {
    let bench = Bench::new();
    bench.key("rsa", "rsa");
    let error = sign(&bench.path("rsa"), PROGRAM).unwrap_err().to_string();
    assert!(
        error.starts_with("the signature would not be accepted: signatures by keys of the kind ssh-rsa"),
        "{error}"
    );
}

#[test]
fn a_program_that_signs_something_else_is_found_out() {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    let fake = |body: &str| {
        let path = bench.write("fake", &format!("#!/bin/sh\nfor last; do :; done\n{body}\n"));
        set_mode(&path, 0o700);
        sign(&bench.path("rt"), &path.to_string_lossy()).unwrap_err()
    };
    let other = fake("echo other > \"$last\"; exec ssh-keygen \"$@\"");
    assert!(matches!(&other, SigningError::Unusable(_)), "{other}");
    let nothing = fake("echo > \"$last.sig\"");
    assert!(matches!(&nothing, SigningError::Unreadable(_)), "{nothing}");
    let silent = fake("exit 3");
    assert_eq!(silent.to_string(), "ssh-keygen did not sign: it ended with exit status: 3");
    let coloured = fake("printf '@@@@@@\\n@ \\033[31mno\\007 @\\n\\nreally\\n' >&2; exit 1");
    assert_eq!(coloured.to_string(), "ssh-keygen did not sign: [31mno; really");
    let without_file = fake("exit 0");
    assert!(matches!(&without_file, SigningError::Io(_)), "{without_file}");
}
