//! Sign-offs that lie under the name of no sheet, so that no page shows them, and the sheet that may be meant.

use super::signers::{SIGN_OFFS, sheet_of};
use super::{CLAUSES, Files, is_note, read_text};
use crate::diagnostic::{Code, Diagnostic};
use crate::document::read_document;
use crate::signature::{Digest, Facts, SignOff};
use crate::text::{SourceFile, Span};
use sha2::{Digest as _, Sha256};

/// Tells of every stray; a sheet that was renamed is found by its text, else by its number.
pub(super) fn stray_sign_offs(files: &dyn Files, paths: &[String]) -> Vec<Diagnostic> {
    let is_stray = |path: &&String| sheet_of(path).is_none_or(|sheet| !paths.contains(&sheet));
    let sign_offs = paths.iter().filter(|path| path.starts_with(SIGN_OFFS) && path.ends_with(".sig"));
    sign_offs.filter(is_stray).map(|path| told(files, paths, path)).collect()
}

fn told(files: &dyn Files, paths: &[String], path: &str) -> Diagnostic {
    let message = "this sign-off lies under the name of no sheet, so that no page shows it";
    let source = SourceFile::new(path, "");
    let finding = Diagnostic::error(Code::BadSignOff, &source, Span::default(), message).as_warning();
    let names = "names are `sign-offs/SHEET.REVISION.ROLE.KEY.sig`, as `soleplate sign` gives them";
    let read = files.is_inside(path).then(|| files.read(path).ok()).flatten();
    let Some(sign_off) = read.and_then(|bytes| SignOff::read(path, &bytes).ok()) else {
        return finding.help(names);
    };
    let facts = sign_off.statement.facts();
    let was = &facts.sheet;
    if paths.contains(was) {
        return finding.note(format!("it was signed for `{was}`")).help(names);
    }
    match renamed(files, paths, facts) {
        Some((now, how)) => finding
            .note(format!("it was signed for `{was}`, which is not here; `{now}` {how}"))
            .help(format!(
                "a signature names its sheet: call `{now}` `{was}` again, or have it signed anew under its new name"
            ))
            .help("then delete this file"),
        None => finding.note(format!("it was signed for `{was}`, which is not here")).help(names),
    }
}

/// The sheet that has the text which was signed, else one that bears its number; and how that is told.
fn renamed(files: &dyn Files, paths: &[String], facts: &Facts) -> Option<(String, String)> {
    let is_sheet = |path: &&String| path.ends_with(".md") && !path.starts_with(CLAUSES) && !is_note(path);
    let inside = paths.iter().filter(is_sheet).filter(|path| files.is_inside(path));
    let sheets: Vec<_> = inside.filter_map(|path| Some((path, read_text(files, path).ok()?.0))).collect();
    let part = format!("sheet {}", facts.sheet);
    let signed = facts.parts.iter().find(|known| known.name == part).map(|part| part.digest);
    let digest = |text: &str| Digest(Sha256::digest(text.replace("\r\n", "\n")).into());
    if let Some((path, _)) = sheets.iter().find(|(_, source)| Some(digest(&source.text)) == signed) {
        return Some(((*path).clone(), "has its text".to_owned()));
    }
    let (path, _) = sheets.iter().find(|(_, source)| read_document(source).0.front.number == facts.number)?;
    Some(((*path).clone(), format!("bears its number, {}", facts.number)))
}
