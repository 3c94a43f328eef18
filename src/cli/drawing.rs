//! Draws a diagnostic for a terminal: the file, the line, the characters underlined, labels, notes and help.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::library::{Library, Origin as ClauseOrigin};
use crate::text::SourceFile;
use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet, normalize_untrusted_str};
use std::ops::Range;
use std::sync::Arc;

/// How files are named and whether colour is used.
pub(super) struct Drawing<'a> {
    /// Put before a path inside the package, so that it can be opened from where the command was typed.
    pub prefix: &'a str,
    /// Tells files of the package from those in the binary.
    pub library: &'a Library,
    /// Whether colour is used.
    pub colour: bool,
}

impl Drawing<'_> {
    /// A file's name as shown.
    pub fn name(&self, source: &Arc<SourceFile>) -> String {
        let shipped = source
            .name
            .strip_suffix(".md")
            .and_then(|path| self.library.clause(path))
            .is_some_and(|clause| clause.origin == ClauseOrigin::Shipped && Arc::ptr_eq(&clause.source, source));
        if shipped { format!("library:{}", source.name) } else { format!("{}{}", self.prefix, source.name) }
    }

    /// A diagnostic, drawn.
    pub fn draw(&self, finding: &Diagnostic) -> String {
        let level = match finding.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let mut group = Group::with_title(level.primary_title(finding.message.as_str()).id(finding.code.name()));
        for labels in by_file(&finding.labels) {
            group = self.add_file(group, &labels, finding.labels.first());
        }
        for note in &finding.notes {
            group = group.element(Level::NOTE.message(normalize_untrusted_str(note)));
        }
        for help in &finding.help {
            group = group.element(Level::HELP.message(normalize_untrusted_str(help)));
        }
        let renderer = if self.colour { Renderer::styled() } else { Renderer::plain() };
        renderer.render(&[group])
    }

    fn add_file<'a>(&self, group: Group<'a>, labels: &[&'a Label], primary: Option<&Label>) -> Group<'a> {
        let Some(first) = labels.first() else { return group };
        let source = &first.source;
        let path = self.name(source);
        // A file that could not be read has a name and nothing to underline.
        if source.text.is_empty() {
            return group.element(Origin::path(path));
        }
        let window = window(&source.text, labels);
        let line = source.position(u32::try_from(window.start).unwrap_or(u32::MAX)).line;
        let text = source.text.get(window.clone()).unwrap_or("");
        let annotations = labels.iter().map(|label| {
            let span = clamp(text, label.span.range(), window.start);
            let is_primary = primary.is_some_and(|primary| std::ptr::eq(primary, *label));
            let kind = if is_primary { AnnotationKind::Primary } else { AnnotationKind::Context };
            let annotation: Annotation<'a> = kind.span(span);
            match label.text.is_empty() {
                true => annotation,
                false => annotation.label(normalize_untrusted_str(&label.text)),
            }
        });
        let snippet = Snippet::source(text).path(path).line_start(line).annotations(annotations);
        group.element(snippet)
    }
}

/// Labels by file, the primary one's file first.
fn by_file(labels: &[Label]) -> Vec<Vec<&Label>> {
    let mut files: Vec<Vec<&Label>> = Vec::new();
    for label in labels {
        let of_same_file =
            files.iter_mut().find(|file| file.first().is_some_and(|first| Arc::ptr_eq(&first.source, &label.source)));
        match of_same_file {
            Some(file) => file.push(label),
            None => files.push(vec![label]),
        }
    }
    files
}

/// The whole lines from the first label to the last: the rest of a long file need not be gone through for each finding.
fn window(text: &str, labels: &[&Label]) -> Range<usize> {
    let first = labels.iter().map(|label| label.span.range().start).min().unwrap_or(0);
    let last = labels.iter().map(|label| label.span.range().end).max().unwrap_or(0);
    let first = floor(text, first);
    let last = floor(text, last.max(first));
    let start = text.get(..first).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let end = text.get(last..).and_then(|after| after.find('\n')).map_or(text.len(), |at| last + at);
    start..end
}

/// A span inside a window, cut to what is there.
fn clamp(text: &str, span: Range<usize>, offset: usize) -> Range<usize> {
    let start = floor(text, span.start.saturating_sub(offset));
    let end = floor(text, span.end.saturating_sub(offset)).max(start);
    start..end
}

/// The nearest boundary of characters at or before a byte.
fn floor(text: &str, at: usize) -> usize {
    text.floor_char_boundary(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Code;
    use crate::text::Span;

    fn draw(finding: &Diagnostic) -> String {
        let library = Library::shipped();
        let drawing = Drawing { prefix: "depot/", library: &library, colour: false };
        drawing.draw(finding)
    }

    #[test]
    fn a_finding_shows_its_lines_labels_notes_and_help() {
        let source = SourceFile::new("b4.md", "one\nh_ef = 70 mm\nx = h_fe\nlast\n");
        let other = SourceFile::new("data/x.toml", "γ = 1\n");
        let finding = Diagnostic::error(Code::UnknownSymbol, &source, Span::new(21, 25), "there is no symbol `h_fe`")
            .here("used here")
            .also(&source, Span::new(4, 8), "a near name")
            .also(&other, Span::new(0, 2), "somewhere else")
            .note("a fact")
            .help("did you mean `h_ef`?");
        insta::assert_snapshot!(draw(&finding));
    }

    #[test]
    fn places_outside_the_text_are_drawn_at_its_end() {
        let source = SourceFile::new("b4.md", "γ");
        let finding = Diagnostic::error(Code::Syntax, &source, Span::new(1, 90), "half a character");
        assert!(draw(&finding).contains("depot/b4.md:1:1"));
        let empty = SourceFile::new("b4.md", "");
        let finding = Diagnostic::error(Code::Unreadable, &empty, Span::default(), "this sheet cannot be read");
        assert!(draw(&finding).ends_with("--> depot/b4.md"));
    }
}
