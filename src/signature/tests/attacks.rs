//! Whoever changes a sign-off, or passes one off as another, is found out.

use super::bench::{Bench, OTHER_DIGEST, digest, facts, judge, statement};
use crate::signature::{AllowedSigners, Facts, RevokedKeys, Role, SignOff, Statement, Verdict, verify};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// Whether the bytes of a file pass as a good sign-off.
fn passes(bytes: &[u8], signers: &AllowedSigners) -> bool {
    SignOff::read("s", bytes).is_ok_and(|read| verify(&read, signers, &RevokedKeys::default()).is_good())
}

/// Two signed files with lists on which they pass: one whose key is Ed25519, one ECDSA.
fn signed_files() -> Vec<(Vec<u8>, AllowedSigners)> {
    let bench = Bench::new();
    let signed = |kind: &str| {
        let signers = format!("*@fellmere.example {}\n", bench.key(kind, kind));
        let signers = AllowedSigners::read("allowed_signers", signers.as_bytes()).unwrap();
        let file = bench.sign(&statement(), kind).to_text().into_bytes();
        assert!(passes(&file, &signers));
        (file, signers)
    };
    vec![signed("ed25519"), signed("ecdsa")]
}

#[test]
fn a_changed_byte_at_any_position_is_refused() {
    for (file, signers) in signed_files() {
        for at in 0..file.len() {
            for changed in [file[at] ^ 1, file[at] ^ 0x20, file[at].wrapping_add(1), b'A', b' ', b'\n', 0, 0xff] {
                let mut bytes = file.clone();
                bytes[at] = changed;
                assert!(changed == file[at] || !passes(&bytes, &signers), "byte {at} as {changed:#x}");
            }
        }
    }
}

#[test]
fn a_byte_left_out_or_put_in_is_refused() {
    for (file, signers) in signed_files() {
        for at in 0..file.len() {
            let mut shorter = file.clone();
            shorter.remove(at);
            assert!(!passes(&shorter, &signers), "without byte {at}");
            for put in *b"A \n=" {
                let mut longer = file.clone();
                longer.insert(at, put);
                assert!(longer == file || !passes(&longer, &signers), "{put:#x} before byte {at}");
            }
            assert!(!passes(&file[..at], &signers), "cut at byte {at}");
        }
    }
}

/// The armour around other bytes of a signature.
fn with_blob(blob: &[u8]) -> Option<SignOff> {
    let lines: Vec<String> =
        STANDARD.encode(blob).as_bytes().chunks(70).map(|line| String::from_utf8_lossy(line).into_owned()).collect();
    let armour = format!("-----BEGIN SSH SIGNATURE-----\n{}\n-----END SSH SIGNATURE-----\n", lines.join("\n"));
    SignOff::new(statement(), &armour).ok()
}

#[test]
fn a_changed_bit_anywhere_in_the_signature_is_refused() {
    for (file, signers) in signed_files() {
        let file = String::from_utf8(file).unwrap();
        let base64: String = file
            .lines()
            .skip_while(|line| !line.starts_with("-----BEGIN"))
            .filter(|line| !line.starts_with('-'))
            .collect();
        let blob = STANDARD.decode(base64).unwrap();
        let is_good = |blob: &[u8]| {
            with_blob(blob).is_some_and(|sign_off| verify(&sign_off, &signers, &RevokedKeys::default()).is_good())
        };
        assert!(is_good(&blob));
        for at in 0..blob.len() {
            for bit in 0..8 {
                let mut changed = blob.clone();
                changed[at] ^= 1 << bit;
                assert!(!is_good(&changed), "bit {bit} of byte {at}");
            }
            assert!(!is_good(&blob[..at]), "cut at byte {at}");
        }
        assert!(!is_good(&[blob.as_slice(), &[0]].concat()), "a byte behind the signature");
    }
}

/// Puts the signature over one statement behind another.
fn replay(change: impl FnOnce(&mut Facts)) -> Verdict {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example,mk@fellmere.example {}\n", bench.key("rt", "ed25519"));
    let armour = bench.sign(&statement(), "rt").armour();
    let mut other = facts();
    change(&mut other);
    let other = SignOff::new(Statement::new(other).unwrap(), &armour).unwrap();
    judge(&other, &signers)
}

#[test]
fn a_signature_serves_no_other_statement() {
    let changes: [fn(&mut Facts); 9] = [
        |facts| facts.sheet = "bases/b5.md".to_owned(),
        |facts| facts.number = "FTD-ST-CALC-005".to_owned(),
        |facts| facts.title = "Base plate B5".to_owned(),
        |facts| facts.revision = "P02".to_owned(),
        |facts| facts.digest = digest(OTHER_DIGEST),
        |facts| facts.role = Role::Approver,
        |facts| facts.signer = "mk@fellmere.example".parse().unwrap(),
        |facts| facts.date = "2026-11-21".parse().unwrap(),
        |facts| facts.parts.truncate(1),
    ];
    for change in changes {
        assert!(matches!(replay(change), Verdict::OtherText { .. }));
    }
    assert!(replay(|_| {}).is_good());
}

#[test]
fn a_signature_for_another_purpose_is_no_sign_off() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    for namespace in ["git", "file", "soleplate-sign-off2", "Soleplate-sign-off"] {
        let sign_off = SignOff::new(statement(), &bench.armour(statement().text(), "rt", namespace)).unwrap();
        assert_eq!(judge(&sign_off, &signers), Verdict::WrongNamespace { found: namespace.to_owned() });
    }
}

#[test]
fn a_key_that_nobody_listed_is_unknown() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    bench.key("stranger", "ed25519");
    assert!(matches!(judge(&bench.sign(&statement(), "stranger"), &signers), Verdict::UnknownKey { .. }));
    assert!(matches!(judge(&bench.sign(&statement(), "rt"), ""), Verdict::UnknownKey { .. }));
}

#[test]
fn nobody_signs_in_the_name_of_another() {
    let bench = Bench::new();
    let (rt, mk) = (bench.key("rt", "ed25519"), bench.key("mk", "ed25519"));
    let signers = format!("rt@fellmere.example {rt}\nmk@fellmere.example {mk}\n");
    let sign_off = bench.sign(&statement(), "mk");
    let verdict = judge(&sign_off, &signers);
    assert!(matches!(&verdict, Verdict::KeyOfAnother { owners, .. } if owners == &["mk@fellmere.example"]));
    assert!(
        verdict.to_string().starts_with("the statement names rt@fellmere.example as the signer, but the key SHA256:")
    );
    assert!(!bench.keygen_accepts("UTC0", &sign_off, &signers, &[]));
}

#[test]
fn a_key_put_into_a_foreign_signature_does_not_hold() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    bench.key("mk", "ed25519");
    let blob = |name: &str| {
        let armour = bench.sign(&statement(), name).armour();
        STANDARD.decode(armour.lines().filter(|line| !line.starts_with('-')).collect::<String>()).unwrap()
    };
    let (own, foreign) = (blob("rt"), blob("mk"));
    // Preamble, version, and a key of 51 bytes with its length before it (PROTOCOL.sshsig): 6 + 4 + 4 + 51.
    let swapped = [&own[..65], &foreign[65..]].concat();
    assert_ne!(own[..65], foreign[..65]);
    assert!(matches!(judge(&with_blob(&swapped).unwrap(), &signers), Verdict::OtherText { .. }));
    assert!(judge(&with_blob(&own).unwrap(), &signers).is_good());
}

#[test]
fn a_signature_that_is_none_is_damaged() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    for blob in [b"".as_slice(), b"SSHSIG", b"SSHSIG\0\0\0\x01", b"OTHERS\0\0\0\x01"] {
        let verdict = with_blob(blob).map(|sign_off| judge(&sign_off, &signers));
        assert!(matches!(verdict, None | Some(Verdict::Damaged { .. })), "{verdict:?}");
    }
}
