//! One request, read strictly: what is not plain HTTP/1.1, too long or too slow is refused.

use super::reply::Reply;
use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Bytes of a request before its body.
pub(super) const HEAD_LIMIT: usize = 16 * 1024;
/// Bytes of a body.
pub(super) const BODY_LIMIT: usize = 64 * 1024;

/// A request as it came.
#[derive(Debug)]
pub(super) struct Request {
    pub method: String,
    /// Path and query.
    pub target: String,
    /// Names in lower case.
    headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Request {
    /// The value of a header; nothing where it is not there, an error where it stands twice.
    pub fn header(&self, name: &str) -> Result<Option<&str>, Reply> {
        let mut values = self.headers.iter().filter(|(own, _)| own == name).map(|(_, value)| value.as_str());
        match (values.next(), values.next()) {
            (value, None) => Ok(value),
            (_, Some(_)) => Err(Reply::refusal(400, "a header stands twice")),
        }
    }
}

/// Reads a request with its body.
pub(super) fn read(source: &mut impl Read) -> Result<Request, Reply> {
    let mut bytes = Vec::new();
    let end = loop {
        if let Some(end) = bytes.windows(END.len()).position(|window| window == END) {
            break end;
        }
        if bytes.len() >= HEAD_LIMIT {
            return Err(Reply::refusal(431, "the head of the request is too long"));
        }
        more(source, &mut bytes)?;
    };
    let mut request = head(bytes.get(..end).unwrap_or_default()).ok_or(Reply::refusal(400, "this is no request"))?;
    if request.header("transfer-encoding")?.is_some() {
        return Err(Reply::refusal(501, "a body comes in one piece, with its length"));
    }
    let length = match request.header("content-length")? {
        None => 0,
        Some(digits) if !digits.is_empty() && digits.bytes().all(|digit| digit.is_ascii_digit()) => {
            digits.parse().unwrap_or(usize::MAX)
        }
        Some(_) => return Err(Reply::refusal(400, "the length of the body is no number")),
    };
    if length > BODY_LIMIT {
        return Err(Reply::refusal(413, "the body of the request is too long"));
    }
    let mut body = bytes.split_off(end + END.len());
    while body.len() < length {
        more(source, &mut body)?;
    }
    // One request a connection: what follows it is not looked at.
    body.truncate(length);
    request.body = body;
    Ok(request)
}

const END: &[u8] = b"\r\n\r\n";

fn more(source: &mut impl Read, bytes: &mut Vec<u8>) -> Result<(), Reply> {
    let mut chunk = [0; 4096];
    match source.read(&mut chunk) {
        Ok(0) => Err(Reply::refusal(400, "the request ends too early")),
        Ok(length) => {
            bytes.extend(chunk.iter().take(length));
            Ok(())
        }
        Err(error) if error.kind() == io::ErrorKind::Interrupted => Ok(()),
        Err(_) => Err(Reply::refusal(408, "the request did not come in time")),
    }
}

/// The request line and the headers.
fn head(bytes: &[u8]) -> Option<Request> {
    let text = std::str::from_utf8(bytes).ok()?;
    let is_plain = |c: char| !c.is_control() || c == '\t';
    let mut lines = text.split("\r\n");
    let mut parts = lines.next()?.split(' ');
    let (method, target, version) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || version != "HTTP/1.1" || !target.starts_with('/') || !target.chars().all(is_plain) {
        return None;
    }
    let mut headers = Vec::new();
    for line in lines {
        let (name, value) = line.split_once(':')?;
        let is_token = |c: char| c.is_ascii_alphanumeric() || "!#$%&'*+-.^_`|~".contains(c);
        if name.is_empty() || !name.chars().all(is_token) || !value.chars().all(is_plain) {
            return None;
        }
        headers.push((name.to_ascii_lowercase(), value.trim_matches([' ', '\t']).to_owned()));
    }
    Some(Request { method: method.to_owned(), target: target.to_owned(), headers, body: Vec::new() })
}

/// A stream that must have done all of its work at a certain time, however often something small comes.
pub(super) struct Timed<'a> {
    stream: &'a TcpStream,
    end: Instant,
}

impl<'a> Timed<'a> {
    pub fn new(stream: &'a TcpStream, within: Duration) -> Self {
        Self { stream, end: Instant::now() + within }
    }

    fn left(&self) -> io::Result<Option<Duration>> {
        let left = self.end.saturating_duration_since(Instant::now());
        if left.is_zero() { Err(io::ErrorKind::TimedOut.into()) } else { Ok(Some(left)) }
    }
}

impl Read for Timed<'_> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(self.left()?)?;
        self.stream.read(bytes)
    }
}

impl Write for Timed<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(self.left()?)?;
        self.stream.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.stream.flush()
    }
}
