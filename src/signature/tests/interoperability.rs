//! What `ssh-keygen` makes is accepted here, and what is stored here is accepted by `ssh-keygen`.

use super::bench::{Bench, allowed, facts, judge, statement};
use crate::signature::{Facts, NAMESPACE, RevokedKeys, SignOff, Statement, Verdict, verify};
use sha2::{Digest, Sha256};
use ssh_key::public::{KeyData, SkEd25519};
use ssh_key::{Algorithm, HashAlg, LineEnding, PrivateKey, Signature, SigningKey, SshSig};

#[test]
fn signatures_by_the_supported_kinds_of_key_hold_both_ways() {
    let bench = Bench::new();
    for kind in ["ed25519", "ecdsa"] {
        let signers = format!("rt@fellmere.example {}\n", bench.key(kind, kind));
        let sign_off = bench.sign(&statement(), kind);
        assert!(judge(&sign_off, &signers).is_good());
        assert!(bench.keygen_accepts("UTC0", &sign_off, &signers, &[]));
        // From standard input, as anybody would sign the text without this program.
        let by_hand = SignOff::new(statement(), &bench.armour(statement().text(), kind, NAMESPACE)).unwrap();
        assert!(judge(&by_hand, &signers).is_good());
        let again = SignOff::read("s", sign_off.to_text().as_bytes()).unwrap();
        assert_eq!(again, sign_off);
    }
}

#[test]
fn the_armour_kept_is_the_armour_that_was_made() {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    let made = bench.armour(statement().text(), "rt", NAMESPACE);
    let sign_off = SignOff::new(statement(), &made).unwrap();
    assert_eq!(sign_off.armour(), made);
    assert_eq!(sign_off.to_text(), format!("{}{made}", statement().text()));
    // Ed25519 signatures are determined by key and text (RFC 8032).
    assert_eq!(bench.sign(&statement(), "rt"), sign_off);
}

#[test]
fn signatures_over_sha_256_hold_as_well() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    let key = PrivateKey::read_openssh_file(&bench.path("rt")).unwrap();
    let signature = key.sign(NAMESPACE, HashAlg::Sha256, statement().text().as_bytes()).unwrap();
    let sign_off = SignOff::new(statement(), &signature.to_pem(LineEnding::LF).unwrap()).unwrap();
    assert!(judge(&sign_off, &signers).is_good());
    assert!(bench.keygen_accepts("UTC0", &sign_off, &signers, &[]));
}

fn raw_signature<K: SigningKey>(key: &K, bytes: &[u8]) -> Vec<u8> {
    key.try_sign(bytes).unwrap().as_bytes().to_vec()
}

/// A token signs digests of its application and of the text with flags and a counter between (PROTOCOL.u2f of OpenSSH).
#[test]
fn signatures_as_a_hardware_token_makes_them_hold() {
    let bench = Bench::new();
    bench.key("token", "ed25519");
    let key = PrivateKey::read_openssh_file(&bench.path("token")).unwrap();
    let public = KeyData::SkEd25519(SkEd25519::new(*key.public_key().key_data().ed25519().unwrap(), "ssh:"));
    let data = SshSig::signed_data(NAMESPACE, HashAlg::Sha512, statement().text().as_bytes()).unwrap();
    let trailer = [1, 0, 0, 0, 7];
    let signed = [Sha256::digest("ssh:").as_slice(), &trailer, Sha256::digest(&data).as_slice()].concat();
    let bytes = [raw_signature(&key, &signed).as_slice(), &trailer].concat();
    let signature = Signature::new(Algorithm::SkEd25519, bytes).unwrap();
    let signature = SshSig::new(public.clone(), NAMESPACE, HashAlg::Sha512, signature).unwrap();
    let sign_off = SignOff::new(statement(), &signature.to_pem(LineEnding::LF).unwrap()).unwrap();
    let signers = format!("rt@fellmere.example {}\n", ssh_key::PublicKey::from(public).to_openssh().unwrap());
    assert!(bench.keygen_accepts("UTC0", &sign_off, &signers, &[]));
    assert!(judge(&sign_off, &signers).is_good());
}

#[test]
fn kinds_of_key_that_cannot_be_verified_are_named() {
    let bench = Bench::new();
    let kinds = [
        ("rsa", "rsa", "2048", "ssh-rsa"),
        ("p384", "ecdsa", "384", "ecdsa-sha2-nistp384"),
        ("p521", "ecdsa", "521", "ecdsa-sha2-nistp521"),
    ];
    for (name, kind, bits, algorithm) in kinds {
        assert!(bench.keygen(&["-q", "-t", kind, "-b", bits, "-N", "", "-C", "", "-f", name], "").status.success());
        let signers = format!("rt@fellmere.example {}\n", bench.public(name));
        let sign_off = SignOff::new(statement(), &bench.armour(statement().text(), name, NAMESPACE)).unwrap();
        assert_eq!(judge(&sign_off, &signers), Verdict::UnsupportedKey { algorithm: algorithm.to_owned() });
        assert!(bench.keygen_accepts("UTC0", &sign_off, &signers, &[]), "the signature itself is good");
    }
}

#[test]
fn a_signature_by_a_certificate_is_not_supported() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    bench.key("authority", "ed25519");
    let certified = bench.keygen(&["-q", "-s", "authority", "-I", "rt", "-n", "rt@fellmere.example", "rt.pub"], "");
    assert!(certified.status.success());
    let armour = bench.armour(statement().text(), "rt-cert.pub", NAMESPACE);
    let verdict = judge(&SignOff::new(statement(), &armour).unwrap(), &format!("rt@fellmere.example {key}\n"));
    let algorithm = "ssh-ed25519-cert-v01@openssh.com".to_owned();
    assert_eq!(verdict, Verdict::UnsupportedKey { algorithm });
}

#[test]
fn fingerprints_are_those_that_ssh_keygen_shows() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    let shown = String::from_utf8(bench.keygen(&["-l", "-f", "rt.pub"], "").stdout).unwrap();
    let fingerprint = allowed(&signers).entries[0].fingerprint();
    assert!(shown.contains(&format!(" {fingerprint} ")), "{shown}");
    let verdict = judge(&bench.sign(&statement(), "rt"), &signers);
    assert_eq!(verdict, Verdict::Good { principal: facts().signer, fingerprint });
}

#[test]
fn a_revoked_key_counts_for_nothing_here_and_for_ssh_keygen() {
    let bench = Bench::new();
    let (revoked, kept) = (bench.key("rt", "ed25519"), bench.key("kept", "ed25519"));
    let signers = format!("rt@fellmere.example {revoked}\nrt@fellmere.example {kept}\n");
    let list = format!("# lost\n{revoked} laptop of 2025\n\n");
    bench.write("revoked_keys", &list);
    let keys = RevokedKeys::read("revoked_keys", list.as_bytes()).unwrap();
    for (name, is_good) in [("rt", false), ("kept", true)] {
        let sign_off = bench.sign(&statement(), name);
        let verdict = verify(&sign_off, &allowed(&signers), &keys);
        assert_eq!(verdict.is_good(), is_good, "{verdict}");
        assert_eq!(bench.keygen_accepts("UTC0", &sign_off, &signers, &["-r", "revoked_keys"]), is_good);
    }
    let gone = verify(&bench.sign(&statement(), "rt"), &allowed(""), &keys);
    assert!(matches!(gone, Verdict::Revoked { .. }), "revoked is said even where the key is no longer listed");
}

#[test]
fn a_long_statement_passes_as_well() {
    let bench = Bench::new();
    let signers = format!("rt@fellmere.example {}\n", bench.key("rt", "ed25519"));
    let parts = (0..2000)
        .map(|n| crate::signature::Part { name: format!("data anchors/{n:04}.toml"), digest: facts().digest })
        .collect();
    let statement = Statement::new(Facts { parts, ..facts() }).unwrap();
    let sign_off = bench.sign(&statement, "rt");
    assert!(judge(&SignOff::read("s", sign_off.to_text().as_bytes()).unwrap(), &signers).is_good());
    assert!(bench.keygen_accepts("UTC0", &sign_off, &signers, &[]));
}
