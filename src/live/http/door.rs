//! Who may ask: the page itself, in a browser on this machine, by somebody who was shown its address.
//!
//! Every site that a browser shows can send requests to the loopback address as well, so that the address alone protects
//! nothing. Three things are asked for, each enough by itself: a secret in the path; the host as it was printed, which a
//! name that was made to lead here (DNS rebinding) cannot give; and no origin but the page's own.

use super::reply::Reply;
use super::request::Request;

/// What is asked.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Ask {
    /// The page.
    Page,
    /// To be told when the page is another than the one of this version.
    News(String),
    /// To mark; the body is JSON that nobody has looked at yet.
    Mark(Vec<u8>),
}

/// What lets requests in.
#[derive(Debug)]
pub(super) struct Door {
    /// Address and port, as `127.0.0.1:8080`.
    pub host: String,
    /// What only those know who were shown the address.
    pub secret: String,
}

impl Door {
    pub fn address(&self) -> String {
        format!("{}/{}/", self.origin(), self.secret)
    }

    fn origin(&self) -> String {
        format!("http://{}", self.host)
    }

    /// What a request asks, or what it is told instead.
    pub fn admit(&self, request: Request) -> Result<Ask, Reply> {
        if request.header("host")? != Some(self.host.as_str()) {
            return Err(Reply::refusal(403, "this page is only served under its own address"));
        }
        let origin = request.header("origin")?;
        let is_foreign = origin.is_some_and(|origin| origin != self.origin())
            || request.header("sec-fetch-site")?.is_some_and(|site| !matches!(site, "same-origin" | "none"));
        if is_foreign {
            return Err(Reply::refusal(403, "another site asks for this page"));
        }
        let (path, query) = match request.target.split_once('?') {
            Some((path, query)) => (path, Some(query)),
            None => (request.target.as_str(), None),
        };
        if !is_equal(path.as_bytes(), format!("/{}/", self.secret).as_bytes()) {
            return Err(Reply::refusal(404, "nothing but the page of one sheet is served here"));
        }
        match (request.method.as_str(), query) {
            ("GET", None) => Ok(Ask::Page),
            ("GET", Some(query)) => match query.strip_prefix("seen=") {
                Some(seen) => Ok(Ask::News(seen.to_owned())),
                None => Err(Reply::refusal(404, "nothing but the page of one sheet is served here")),
            },
            ("POST", None) if origin.is_none() => Err(Reply::refusal(403, "marks are made on the page itself")),
            ("POST", None) if request.header("content-type")? != Some("application/json") => {
                Err(Reply::refusal(415, "marks are sent as application/json"))
            }
            ("POST", None) => Ok(Ask::Mark(request.body)),
            _ => Err(Reply::refusal(405, "a page is asked for by GET, a mark is made by POST")),
        }
    }
}

/// Compares in a time that tells nothing of where two texts differ.
fn is_equal(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |differing, (a, b)| differing | (a ^ b)) == 0
}
