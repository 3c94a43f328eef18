use super::door::{Ask, Door};
use super::reply::Reply;
use super::request::{BODY_LIMIT, HEAD_LIMIT, read};

fn door() -> Door {
    Door { host: "127.0.0.1:4711".to_owned(), secret: "c0ffee".to_owned() }
}

/// What the door makes of bytes that come in.
fn asked(bytes: &str) -> Result<Ask, u16> {
    read(&mut bytes.as_bytes()).and_then(|request| door().admit(request)).map_err(|reply| reply.status)
}

/// A request with headers added to the host.
fn request(line: &str, headers: &str, body: &str) -> String {
    let length = if body.is_empty() { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
    format!("{line} HTTP/1.1\r\nHost: 127.0.0.1:4711\r\n{headers}{length}\r\n{body}")
}

const OWN: &str = "Origin: http://127.0.0.1:4711\r\nContent-Type: application/json\r\n";

#[test]
fn the_page_its_news_and_marks_are_let_in() {
    assert_eq!(asked(&request("GET /c0ffee/", "", "")), Ok(Ask::Page));
    assert_eq!(asked(&request("GET /c0ffee/", "Sec-Fetch-Site: none\r\n", "")), Ok(Ask::Page));
    assert_eq!(asked(&request("GET /c0ffee/?seen=12ab", "", "")), Ok(Ask::News("12ab".to_owned())));
    assert_eq!(asked(&request("POST /c0ffee/", OWN, "{}")), Ok(Ask::Mark(b"{}".to_vec())));
}

#[test]
fn other_hosts_and_other_sites_are_turned_away() {
    let page = request("GET /c0ffee/", "", "");
    for host in ["localhost:4711", "127.0.0.1", "127.0.0.1:4712", "depot.example:4711", "127.0.0.1:4711.example", ""] {
        assert_eq!(asked(&page.replace("127.0.0.1:4711", host)), Err(403), "{host}");
    }
    assert_eq!(asked(&page.replace("Host: 127.0.0.1:4711\r\n", "")), Err(403));
    assert_eq!(asked(&page.replace("Host: ", "Host: 127.0.0.1:4711\r\nHost: ")), Err(400));
    for origin in ["null", "http://depot.example", "https://127.0.0.1:4711", "http://127.0.0.1:4712", ""] {
        let foreign = OWN.replace("http://127.0.0.1:4711", origin);
        assert_eq!(asked(&request("POST /c0ffee/", &foreign, "{}")), Err(403), "{origin}");
        assert_eq!(asked(&request("GET /c0ffee/", &foreign, "")), Err(403), "{origin}");
    }
    for site in ["cross-site", "same-site"] {
        let headers = format!("Sec-Fetch-Site: {site}\r\n");
        assert_eq!(asked(&request("GET /c0ffee/", &headers, "")), Err(403), "{site}");
    }
    // Forms of other sites can send these kinds of text without being asked first.
    for kind in ["text/plain", "application/x-www-form-urlencoded", "application/json; charset=utf-8"] {
        let headers = OWN.replace("application/json", kind);
        assert_eq!(asked(&request("POST /c0ffee/", &headers, "{}")), Err(415), "{kind}");
    }
    assert_eq!(asked(&request("POST /c0ffee/", "Content-Type: application/json\r\n", "{}")), Err(403));
}

#[test]
fn nothing_stands_under_any_other_path() {
    for path in [
        "/",
        "/c0ffee",
        "/c0ffe/",
        "/C0FFEE/",
        "//c0ffee/",
        "/c0ffee//",
        "/c0ffee/b4.md",
        "/c0ffee/../b4.md",
        "/../../etc/passwd",
        "/c0ffee/%2e%2e/",
        "/%63offee/",
        "/c0ffee/?",
        "/c0ffee/?page",
        "/favicon.ico",
    ] {
        assert_eq!(asked(&request(&format!("GET {path}"), "", "")), Err(404), "{path}");
    }
    for method in ["HEAD", "OPTIONS", "PUT", "DELETE", "TRACE", "get"] {
        assert_eq!(asked(&request(&format!("{method} /c0ffee/"), OWN, "")), Err(405), "{method}");
    }
    assert_eq!(asked(&request("POST /c0ffee/?seen=1", OWN, "{}")), Err(405));
}

#[test]
fn what_is_not_plain_http_is_refused() {
    for line in ["GET", "GET /c0ffee/ ", "GET  /c0ffee/", "GET http://127.0.0.1:4711/c0ffee/", "GET /c0\x07ffee/"] {
        assert_eq!(asked(&request(line, "", "")), Err(400), "{line}");
    }
    let page = request("GET /c0ffee/", "", "");
    assert_eq!(asked(&page.replace("HTTP/1.1", "HTTP/1.0")), Err(400));
    assert_eq!(asked(&page.replace("HTTP/1.1", "PRI/2.0")), Err(400));
    for header in ["No colon\r\n", ": empty\r\n", "Spa ce: x\r\n", " folded\r\n", "X: a\x00b\r\n", "X: a\nY: b\r\n"] {
        assert_eq!(asked(&request("GET /c0ffee/", header, "")), Err(400), "{header:?}");
    }
    assert_eq!(asked(&request("POST /c0ffee/", &format!("{OWN}Transfer-Encoding: chunked\r\n"), "{}")), Err(501));
    for length in ["-1", "+2", "2, 2", "0x2", ""] {
        let bytes = request("POST /c0ffee/", OWN, "{}").replace("Length: 2", &format!("Length: {length}"));
        assert_eq!(asked(&bytes), Err(400), "{length}");
    }
    assert_eq!(asked("GET /c0ffee/ HTTP/1.1\r\nHost: 127"), Err(400));
    assert_eq!(asked(&request("POST /c0ffee/", OWN, "{}").replace("Length: 2", "Length: 3")), Err(400));
}

#[test]
fn sizes_are_limited() {
    let padded = |length: usize| request("GET /c0ffee/", &format!("X: {}\r\n", "x".repeat(length)), "");
    assert_eq!(asked(&padded(HEAD_LIMIT - 200)), Ok(Ask::Page));
    assert_eq!(asked(&padded(2 * HEAD_LIMIT)), Err(431));
    let body = |length: usize| request("POST /c0ffee/", OWN, &"x".repeat(length));
    assert_eq!(asked(&body(BODY_LIMIT)), Ok(Ask::Mark(vec![b'x'; BODY_LIMIT])));
    assert_eq!(asked(&body(BODY_LIMIT + 1)), Err(413));
    let huge = request("POST /c0ffee/", OWN, "{}").replace("Length: 2", "Length: 99999999999999999999999");
    assert_eq!(asked(&huge), Err(413));
}

#[test]
fn no_answer_can_be_read_framed_or_kept_by_others() {
    for reply in [
        Reply::page("<!doctype html>".to_owned(), "default-src 'none'".to_owned()),
        Reply::json(200, &serde_json::json!({})),
        Reply::refusal(404, "nothing"),
        Reply::nothing(),
    ] {
        let mut bytes = Vec::new();
        reply.write(&mut bytes).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let head = text.split("\r\n\r\n").next().unwrap();
        for line in [
            "Content-Security-Policy: default-src 'none'",
            "X-Frame-Options: DENY",
            "X-Content-Type-Options: nosniff",
            "Cache-Control: no-store",
            "Referrer-Policy: same-origin",
            "Cross-Origin-Resource-Policy: same-origin",
            "Connection: close",
        ] {
            assert!(head.lines().any(|own| own.starts_with(line)), "{line} in {head}");
        }
        assert!(!head.contains("Access-Control"), "{head}");
    }
}
