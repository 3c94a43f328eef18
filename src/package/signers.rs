//! Who may sign for the sheets of a package, and the sign-offs that lie in it.
//!
//! The manifest says which roles there are and who may hold them; two files say by which keys. A mistake in any of them
//! is one of the package: nobody could say what its sign-offs are worth.

use super::{Files, Manifest, outside, read_text, reason};
use crate::diagnostic::{Code, Diagnostic};
use crate::document::place_of_key;
use crate::signature::{AllowedSigners, PatternList, Policy, Principal, RevokedKeys, Role, SignOff};
use crate::text::{SourceFile, Span};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The folder of sign-offs; below it stand the folders of the sheets.
pub const SIGN_OFFS: &str = "sign-offs/";
/// Where the lists are looked for if the manifest names no others.
const ALLOWED_SIGNERS: &str = "allowed_signers";
const REVOKED_KEYS: &str = "revoked_keys";

/// What the manifest demands of sign-offs, in its table `[sign_off]`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SignOffSettings {
    /// The roles that are demanded, and who may hold each.
    pub roles: BTreeMap<Role, PatternList>,
    /// Whether nobody may hold two roles of one sheet.
    pub different_people: bool,
    /// Whether a checker signs only when every line that needs it is ticked.
    pub all_lines_ticked: bool,
    /// Whether nobody signs in a role before those before it are signed for.
    pub in_order: bool,
    /// Whose initials, or other names under marks, are whose: the signer by such a name.
    pub initials: BTreeMap<String, String>,
    /// The list of allowed signers.
    pub allowed_signers: Option<String>,
    /// The list of revoked keys.
    pub revoked_keys: Option<String>,
}

impl Default for SignOffSettings {
    fn default() -> Self {
        Self {
            roles: BTreeMap::new(),
            different_people: true,
            all_lines_ticked: true,
            in_order: true,
            initials: BTreeMap::new(),
            allowed_signers: None,
            revoked_keys: None,
        }
    }
}

/// Who may sign, and by which keys.
#[derive(Clone, Debug, Default)]
pub struct Signers {
    /// Which roles there are, and who may hold them.
    pub policy: Policy,
    /// Keys and whose they are.
    pub allowed: AllowedSigners,
    /// Keys that count no more.
    pub revoked: RevokedKeys,
    /// The files of the two lists, also where there are none yet.
    pub paths: [String; 2],
}

impl Signers {
    /// Reads the lists that the manifest names, or those of the usual names if they are there.
    pub(super) fn read(
        files: &dyn Files,
        paths: &[String],
        manifest: &Manifest,
        source: &Arc<SourceFile>,
    ) -> (Self, Vec<Diagnostic>) {
        let settings = &manifest.sign_off;
        let policy = Policy {
            roles: settings.roles.clone(),
            different_people: settings.different_people,
            all_lines_ticked: settings.all_lines_ticked,
            in_order: settings.in_order,
        };
        let name = |named: &Option<String>, usual: &str| named.clone().unwrap_or_else(|| usual.to_owned());
        let names = [name(&settings.allowed_signers, ALLOWED_SIGNERS), name(&settings.revoked_keys, REVOKED_KEYS)];
        let mut signers = Self { policy, paths: names.clone(), ..Self::default() };
        let mut findings = Vec::new();
        for (name, signer) in &settings.initials {
            if let Err(why) = signer.parse::<Principal>() {
                let at = source.text.find(&format!("\"{signer}\"")).unwrap_or(0);
                let message =
                    format!("under `{name}` a signer is expected, as the list of allowed signers has the name");
                let span = Span::new(at, at + if at > 0 { signer.len() + 2 } else { 0 });
                findings.push(Diagnostic::error(Code::FrontMatter, source, span, message).help(why));
            }
        }
        let [allowed, revoked] = names;
        let mut list = |path: &str, key: &str, is_named: bool| {
            if !is_named && !paths.iter().any(|known| known == path) {
                return None;
            }
            let place = || place_of_key(source, 0, source.text.len(), key);
            if !files.is_inside(path) {
                let message = format!("`{path}` leads outside the package");
                findings.push(Diagnostic::error(Code::OutsidePackage, source, place(), message));
                return None;
            }
            match read_text(files, path) {
                Ok((text, None)) => Some(text),
                Ok((_, Some(problem))) => {
                    findings.push(problem);
                    None
                }
                Err(error) => {
                    let message = format!("`{path}` cannot be read: {}", reason(&error));
                    findings.push(Diagnostic::error(Code::Unreadable, source, place(), message));
                    None
                }
            }
        };
        let allowed = list(&allowed, "allowed_signers", settings.allowed_signers.is_some());
        let revoked = list(&revoked, "revoked_keys", settings.revoked_keys.is_some());
        if let Some(text) = allowed {
            match AllowedSigners::read(&text.name, text.text.as_bytes()) {
                Ok(read) => signers.allowed = read,
                Err(mistakes) => findings.extend(mistakes),
            }
        }
        if let Some(text) = revoked {
            match RevokedKeys::read(&text.name, text.text.as_bytes()) {
                Ok(read) => signers.revoked = read,
                Err(mistakes) => findings.extend(mistakes),
            }
        }
        (signers, findings)
    }
}

/// A sign-off that lies in the package under the name of a sheet.
#[derive(Clone, Debug)]
pub struct SignOffFile {
    /// Its path.
    pub path: String,
    /// What it says, or in a few words why it says nothing.
    pub sign_off: Result<SignOff, &'static str>,
}

/// The path of a sign-off: `a/b.md` gives `sign-offs/a/b.P01.checker.0123456789ab.sig`.
///
/// The last word tells keys apart, so that people who sign at the same time never write one file. It is hexadecimal
/// and not the start of the fingerprint, as some disks hold `Ab` and `aB` for one name.
pub fn sign_off_path(sheet: &str, revision: &str, role: Role, fingerprint: &str) -> String {
    use sha2::{Digest, Sha256};
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' };
    let revision: String = revision.chars().map(plain).collect();
    let key: String = Sha256::digest(fingerprint.as_bytes()).iter().take(6).map(|byte| format!("{byte:02x}")).collect();
    format!("{SIGN_OFFS}{}.{revision}.{role}.{key}.sig", sheet.strip_suffix(".md").unwrap_or(sheet))
}

/// The sheet under whose name a sign-off lies.
pub(super) fn sheet_of(path: &str) -> Option<String> {
    let mut words = path.strip_prefix(SIGN_OFFS)?.rsplitn(5, '.');
    let is_sign_off = words.next() == Some("sig") && words.by_ref().take(3).all(|word| !word.is_empty());
    let name = words.next().filter(|name| is_sign_off && !name.is_empty())?;
    Some(format!("{name}.md"))
}

/// Whether a path is that of a sign-off under the name of a sheet.
pub fn is_sign_off_of(path: &str, sheet: &str) -> bool {
    sheet_of(path).as_deref() == Some(sheet)
}

/// The sign-offs that lie under the name of a sheet; those that cannot be read count for nothing and are told.
pub(super) fn sign_offs(files: &dyn Files, paths: &[String], sheet: &str) -> (Vec<SignOffFile>, Vec<Diagnostic>) {
    let (mut found, mut findings) = (Vec::new(), Vec::new());
    for path in paths.iter().filter(|path| is_sign_off_of(path, sheet)) {
        let mut why = "is no sign-off and counts for nothing";
        let read = match files.is_inside(path) {
            true => match files.read(path) {
                Ok(bytes) => {
                    if SignOff::is_of_earlier_form(&bytes) {
                        why = "was made in an earlier form, which does not cover the rules of sign-off: sign again";
                    }
                    SignOff::read(path, &bytes)
                }
                Err(error) => {
                    let message = format!("this sign-off cannot be read: {}", reason(&error));
                    Err(Diagnostic::error(Code::Unreadable, &SourceFile::new(path, ""), Span::default(), message))
                }
            },
            false => Err(outside(&SourceFile::new(path, ""), "this sign-off is a link that leads outside the package")),
        };
        let sign_off = read.map_err(|finding| {
            findings.push(finding.as_warning());
            why
        });
        found.push(SignOffFile { path: path.clone(), sign_off });
    }
    (found, findings)
}

#[cfg(test)]
mod tests {
    use super::{sheet_of, sign_off_path};
    use crate::signature::Role;

    #[test]
    fn a_sign_off_lies_under_the_name_of_its_sheet_alone() {
        for sheet in ["b4.md", "a/b.md", "a.b.md", "a b/c-d.md"] {
            let path = sign_off_path(sheet, "P01 / 2.b", Role::Checker, "SHA256:abc");
            assert_eq!(sheet_of(&path).as_deref(), Some(sheet), "{path}");
        }
        for stray in ["sign-offs/b4.sig", "sign-offs/b4.P01.checker..sig", "b4.P01.checker.00.sig"] {
            assert_eq!(sheet_of(stray), None);
        }
    }

    #[test]
    fn keys_roles_and_revisions_have_files_of_their_own() {
        let path = |revision, role, key| sign_off_path("b4.md", revision, role, key);
        let first = path("P01", Role::Checker, "SHA256:abc");
        for other in [("P02", Role::Checker, "SHA256:abc"), ("P01", Role::Approver, "SHA256:abc")] {
            assert_ne!(path(other.0, other.1, other.2), first);
        }
        assert_ne!(path("P01", Role::Checker, "SHA256:abC").to_lowercase(), first.to_lowercase());
    }
}
