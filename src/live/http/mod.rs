//! One page for one reader on this machine: HTTP/1.1 on the loopback address, and no more of it than that needs.
//!
//! 1. [`Server`] accepts connections and reads one [`request`] from each, within limits of size and time;
//! 2. [`door::Door`] turns away whoever does not come from the page itself: other sites in the same browser, names
//!    that were made to lead here, and whoever does not know the secret in the address;
//! 3. what remains is an [`Ask`], handed over with the means to answer it by a [`Reply`].
//!
//! No file is ever served, so that no path can lead to one. A connection has a thread while it lasts, because browsers
//! open some and say nothing on them; what is asked is handed over to one place, one after the other.

mod door;
mod reply;
mod request;
#[cfg(test)]
mod tests;

pub use door::Ask;
pub use reply::Reply;

use door::Door;
use request::Timed;
use std::io;
use std::net::{Ipv4Addr, Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread;
use std::time::Duration;

/// Connections at one time; more are closed unread.
const MOST_CONNECTIONS: usize = 64;
/// How long a request may take to come in.
const READING: Duration = Duration::from_secs(5);
/// How long an answer may take to go out.
const WRITING: Duration = Duration::from_secs(30);
/// How long is waited for a client to read an answer that comes before all of its request was read.
const LINGERING: Duration = Duration::from_millis(500);
/// How long an answer is waited for that is the last one.
const LAST: Duration = Duration::from_secs(2);

/// A port of the loopback address that waits for requests.
pub struct Server {
    listener: TcpListener,
    door: Door,
}

impl Server {
    /// Takes a port, or any free one for 0, and makes up a secret.
    pub fn bind(port: u16) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        let mut secret = [0; 16];
        getrandom::fill(&mut secret)?;
        let secret: String = secret.iter().map(|byte| format!("{byte:02x}")).collect();
        let door = Door { host: listener.local_addr()?.to_string(), secret };
        Ok(Self { listener, door })
    }

    /// The address of the page, with the secret in it.
    pub fn address(&self) -> String {
        self.door.address()
    }

    /// Accepts connections from now on, in a thread of its own, and hands over what is asked.
    pub fn run(self, hand_over: impl Fn(Exchange) + Send + Sync + 'static) {
        let shared = Arc::new((self.door, hand_over));
        thread::spawn(move || {
            for stream in self.listener.incoming() {
                let Ok(stream) = stream else {
                    // Where files run out, accepting fails at once and again.
                    thread::sleep(Duration::from_millis(50));
                    continue;
                };
                if Arc::strong_count(&shared) <= MOST_CONNECTIONS {
                    let shared = Arc::clone(&shared);
                    // A connection for which there is no thread is closed.
                    let _ = thread::Builder::new().spawn(move || serve(stream, &shared.0, &shared.1));
                }
            }
        });
    }
}

/// Something asked, and the means to answer it.
pub struct Exchange {
    /// What is asked.
    pub ask: Ask,
    answer: SyncSender<Answer>,
}

/// A reply; the sender is dropped when it is written.
type Answer = (Reply, Option<Sender<()>>);

impl Exchange {
    fn new(ask: Ask) -> (Self, Receiver<Answer>) {
        let (answer, reply) = sync_channel(1);
        (Self { ask, answer }, reply)
    }

    /// Answers; whoever has hung up meanwhile misses it.
    pub fn answer(self, reply: Reply) {
        let _ = self.answer.send((reply, None));
    }

    /// Answers and waits until that is written, for when the program ends behind it.
    pub fn answer_last(self, reply: Reply) {
        let (written, wait) = channel();
        if self.answer.send((reply, Some(written))).is_ok() {
            // Nothing is ever sent: the wait ends when the other end is dropped.
            let _ = wait.recv_timeout(LAST);
        }
    }
}

/// Reads one request and answers it.
fn serve(stream: TcpStream, door: &Door, hand_over: &impl Fn(Exchange)) {
    let asked = request::read(&mut Timed::new(&stream, READING)).and_then(|request| door.admit(request));
    let (reply, written) = match asked {
        Ok(ask) => {
            let (exchange, answer) = Exchange::new(ask);
            hand_over(exchange);
            // Nobody answers any more when the program is about to end.
            answer.recv().unwrap_or_else(|_| (Reply::refusal(503, "this page is not served any more"), None))
        }
        Err(refusal) => (refusal, None),
    };
    // A client that is gone, or too slow, misses its answer.
    let _ = reply.write(&mut Timed::new(&stream, WRITING));
    drop(written);
    let _ = stream.shutdown(Shutdown::Write);
    // Closing while something is unread would take the answer back from the client.
    let _ = io::copy(&mut Timed::new(&stream, LINGERING), &mut io::sink());
}
