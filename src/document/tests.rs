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
    assert_eq!(codes(&format!("{HEAD}\n<b>x</b>\n")), ["raw-html"]);
    assert_eq!(codes(&format!("{HEAD}\nx</b>\n")), ["raw-html"]);
    assert_eq!(codes(&format!("{HEAD}\n<div>\nx\n</div>\n\n`a` <!-- b -->\n")), ["raw-html", "raw-html"]);
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

/// The kinds of a sheet's blocks, each with its text.
fn blocks(text: &str) -> Vec<(BlockKind, String)> {
    let (document, _) = read(text);
    let blocks = document.parts.iter().filter_map(|part| match part {
        Part::Block(block) => Some((block.kind, block.text.text.clone())),
        Part::Prose(_) => None,
    });
    blocks.collect()
}

#[test]
fn a_closed_block_is_closed_wherever_it_stands() {
    for block in [
        "```given\na = 1\n```",
        "```given\na = 1\n```\n",
        "```given\na = 1\n``````  \n\nWords.\n",
        "```given\n```\n",
        "~~~given\na = 1\n~~~\n",
        "````given\na = 1\n````\n",
        "  ```given\n  a = 1\n  ```\n",
        "- item\n\n  ```given\n  a = 1\n  ```\n\n  more\n",
        "> ```given\n> a = 1\n> ```\n\nWords.\n",
    ] {
        assert_eq!(codes(&format!("{HEAD}\n{block}")), [""; 0], "{block}");
        assert_eq!(codes(&format!("{HEAD}\n{block}").replace('\n', "\r\n")), [""; 0], "{block}");
    }
}

#[test]
fn a_block_that_is_left_open_is_told_at_its_opening_fence() {
    for block in [
        "```given",
        "```given\n",
        "```given\na = 1",
        "```given\na = 1\n\nWords behind it.\n",
        "```given\na = 1\n``",
        "```given\na = 1\n~~~\n",
        "````given\na = 1\n```\n",
        "```given\na = 1\n``` done\n",
        "> ```given\n> a = 1\n\nWords.\n",
        "- ```given\n  a = 1\n\nWords.\n",
    ] {
        let text = format!("{HEAD}\n{block}");
        for text in [text.replace('\n', "\r\n"), text] {
            let (document, findings) = read(&text);
            assert_eq!(findings.len(), 1, "{block}: {findings:?}");
            assert_eq!(findings[0].code, Code::UnclosedBlock, "{block}");
            let fence = document.source.slice(findings[0].labels[0].span);
            assert_eq!(fence.trim_start_matches('`'), "given", "{block}");
        }
    }
}

#[test]
fn blocks_that_an_open_one_swallowed_are_still_read() {
    let text = format!("{HEAD}\n```given\na = 1\n~~~\n\nWords.\n\n```derive\nb = a\n```\n\nMore.\n");
    assert_eq!(codes(&text), ["unclosed-block"]);
    let found = blocks(&text);
    assert_eq!(found, [(BlockKind::Given, "a = 1\n".to_owned()), (BlockKind::Derive, "b = a\n".to_owned())]);
    // One fence too many opens a block that holds the next one.
    let text = format!("{HEAD}\n```given\na = 1\n```\n```\n\nWords.\n\n```derive\nb = a\n```\n");
    assert_eq!(codes(&text), ["unknown-block"]);
    assert_eq!(blocks(&text).len(), 2);
    assert_eq!(codes(&format!("{HEAD}\n```givn\na = 1\n```\n")), ["unknown-block"]);
    assert_eq!(blocks(&format!("{HEAD}\n```givn\na = 1\n```\n")).len(), 1);
}
