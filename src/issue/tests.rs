use super::{Difference, Kind, Source, Sources, carried, carry, differing_results, first_difference};
use std::collections::BTreeMap;

fn sources() -> Sources {
    let file = |kind, name: &str, bytes: &[u8]| (Source { kind, name: name.to_owned() }, bytes.to_vec());
    let files = [
        file(Kind::Package, "a b.md", b"text\npackage 3 c\n"),
        file(Kind::Package, "image.png", &[0, 255, b'\n', b'<']),
        file(Kind::Shipped, "en-1992-4/concrete-cone.md", b""),
    ];
    Sources { program: "soleplate 0".to_owned(), sheet: "a b.md".to_owned(), files: BTreeMap::from(files) }
}

#[test]
fn sources_have_one_way_to_be_written() {
    let text = sources().write();
    assert_eq!(Sources::read(&text), Ok(sources()));
    let text = String::from_utf8_lossy(&text).into_owned();
    let others = [
        text.replace("package 17 a", "package 017 a"),
        text.replace("package 17 a", "package 16 a"),
        text.replace("package 17 a", "package 99999999999999999999 a"),
        text.replace("package 17 a", "other 17 a"),
        text.replace("issue 1", "issue 2"),
        text.replace("sheet: ", "sheet:"),
        format!("{text}\n"),
        text[..text.len() - 1].to_owned(),
        String::new(),
    ];
    for other in others {
        assert!(Sources::read(other.as_bytes()).is_err(), "{other}");
    }
    let mut twice = sources().write();
    twice.extend_from_slice(b"shipped 0 en-1992-4/concrete-cone.md\n\n");
    assert!(Sources::read(&twice).is_err());
}

#[test]
fn a_page_gives_back_what_it_carries() {
    let page = carry("<!doctype html>\n<body>\n</body>\n</html>\n", &sources());
    assert_eq!(carried(page.as_bytes()), Ok(sources()));
    assert!(page.ends_with("</template>\n</body>\n</html>\n"));
    for broken in [page.replace("<template", "<span"), page.replace("\n</template>", "*\n</template>")] {
        assert!(carried(broken.as_bytes()).is_err());
    }
}

#[test]
fn the_first_difference_is_told_with_its_line() {
    let told = |found: &str, expected: &str| first_difference(found.as_bytes(), expected.as_bytes());
    let difference =
        |line, found: &str, expected: &str| Some(Difference { line, found: found.into(), expected: expected.into() });
    assert_eq!(told("a\nb\n", "a\nb\n"), None);
    assert_eq!(told("a\nratio 0.40 of\nc", "a\nratio 0.50 of\nc"), difference(2, "ratio 0.40 of", "ratio 0.50 of"));
    assert_eq!(told("a\n", "a\nb"), difference(2, "", "b"));
    let long = |digit: char| format!("{}{digit}{}", "é".repeat(100), "x".repeat(100));
    let cut = |digit: char| format!("…{}{digit}{}…", "é".repeat(48), "x".repeat(71));
    assert_eq!(told(&long('1'), &long('2')), difference(1, &cut('1'), &cut('2')));
}

#[test]
fn results_are_compared_by_address() {
    let issued = "a 01 1 kN\nb 02 2 kN\nc 03 3 kN\n";
    let now = "b 02 2 kN\na 01 1 kN\nc 04 3 kN\nd 05 4 kN\n";
    let expected = [("c: 3 kN", "c: 3 kN"), ("", "d: 4 kN")].map(|(a, b)| (a.to_owned(), b.to_owned()));
    // Digests differ where figures shown do not.
    assert_eq!(differing_results(issued, now), expected);
    assert!(differing_results(issued, issued).is_empty());
}
