use super::*;

fn read(text: &str) -> (Document, Vec<Diagnostic>) {
    read_document(&SourceFile::new("sheet.md", text))
}

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";

fn codes(text: &str) -> Vec<&'static str> {
    read(text).1.iter().map(|d| d.code.name()).collect()
}

#[test]
fn a_sheet_is_cut_into_prose_and_blocks() {
    let (document, findings) = read(&format!("{HEAD}\nWords.\n\n```given\na = 1\n```\n\nMore.\n"));
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(document.front.title, "T");
    assert_eq!(document.parts.len(), 3);
}

#[test]
fn a_block_in_a_list_with_crlf_maps_back_to_the_file() {
    let text = format!("{HEAD}\n- item\n\n  ```given\n  a = 1\n  bcd = 2\n  ```\n").replace('\n', "\r\n");
    let (document, _) = read(&text);
    let block = document
        .parts
        .iter()
        .find_map(|part| match part {
            Part::Block(block) => Some(block),
            Part::Prose(_) => None,
        })
        .expect("there is a block");
    let at = block.text.text.find("bcd").expect("the name is there");
    let span = block.text.span(at, at + 3);
    assert_eq!(document.source.slice(span), "bcd");
}

#[test]
fn html_unsafe_links_and_paths_outside_are_refused() {
    assert_eq!(codes(&format!("{HEAD}\n<b>x</b>\n")), ["raw-html", "raw-html"]);
    assert_eq!(codes(&format!("{HEAD}\n[x](javascript:alert(1))\n")), ["unsafe-link"]);
    assert_eq!(codes(&format!("{HEAD}\n[x](data:text/html,x)\n")), ["unsafe-link"]);
    assert_eq!(codes(&format!("{HEAD}\n![x](https://example.org/x.png)\n")), ["unsafe-link"]);
    assert_eq!(codes(&format!("{HEAD}\n![x](../x.png)\n")), ["outside-package"]);
    assert_eq!(codes(&format!("{HEAD}\n![x](%2E%2e/x.png)\n")), ["outside-package"]);
    assert!(codes(&format!("{HEAD}\n[x](https://example.org) [y](other.md) [z](#a)\n")).is_empty());
}

#[test]
fn purpose_and_scope_are_mandatory() {
    let text = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\n+++\n";
    assert_eq!(codes(text), ["missing-statement", "missing-statement"]);
    assert_eq!(codes("no front matter"), ["front-matter"]);
    assert_eq!(codes("+++\ntitel = \"T\"\n+++\n"), ["front-matter"]);
}

#[test]
fn size_and_nesting_are_limited() {
    assert_eq!(codes(&"x".repeat(SIZE_LIMIT + 1)), ["too-large"]);
    assert!(codes(&format!("{HEAD}\n{} x\n", ">".repeat(5000))).contains(&"too-large"));
}
