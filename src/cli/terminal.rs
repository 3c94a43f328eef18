//! What is written to the terminal: results to the standard output, all else to the standard error.

use annotate_snippets::normalize_untrusted_str;
use std::io::{self, IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The two streams of the process.
pub struct Terminal {
    out: io::BufWriter<io::Stdout>,
    /// Whether errors are coloured.
    pub colour: bool,
    shows_progress: bool,
    failure: Option<io::Error>,
}

impl Terminal {
    /// The streams of this process; colour and progress only where somebody reads the standard error on a screen.
    pub fn of_process() -> Self {
        let is_screen = io::stderr().is_terminal();
        Self {
            out: io::BufWriter::new(io::stdout()),
            colour: is_screen && !colour_is_unwanted(),
            shows_progress: is_screen,
            failure: None,
        }
    }

    /// Writes a line of results.
    pub fn say(&mut self, line: &str) {
        if self.failure.is_none() {
            self.failure = writeln!(self.out, "{line}").err();
        }
    }

    /// Writes text that was drawn already to the standard error, with an empty line behind it.
    pub fn tell_drawn(&mut self, text: &str) {
        self.flush();
        // Where even this cannot be written there is nobody to tell.
        let _ = writeln!(io::stderr(), "{text}\n");
    }

    /// Writes a line beside the results.
    pub fn tell(&mut self, line: &str) {
        self.flush();
        let _ = writeln!(io::stderr(), "{}", plain(line));
    }

    /// Writes an error that belongs to no place in a file.
    pub fn tell_error(&mut self, message: &str) {
        self.tell_marked("error", "\x1b[1;91m", message);
    }

    /// Writes a warning that belongs to no place in a file.
    pub fn tell_warning(&mut self, message: &str) {
        self.tell_marked("warning", "\x1b[1;93m", message);
    }

    /// Writes what can be done.
    pub fn tell_help(&mut self, message: &str) {
        self.tell_marked("help", "\x1b[1;96m", message);
    }

    fn tell_marked(&mut self, word: &str, colour: &str, message: &str) {
        self.flush();
        let message = plain(message);
        let _ = if self.colour {
            writeln!(io::stderr(), "{colour}{word}\x1b[0m: {message}")
        } else {
            writeln!(io::stderr(), "{word}: {message}")
        };
    }

    /// A line that tells how far a long work has come.
    pub fn progress(&self, total: usize) -> Progress {
        Progress {
            total,
            done: AtomicUsize::new(0),
            is_shown: self.shows_progress && total >= PROGRESS_FROM,
            drawing: Mutex::new(()),
        }
    }

    /// Writes out what waits.
    pub fn flush(&mut self) {
        if self.failure.is_none() {
            self.failure = self.out.flush().err();
        }
    }

    /// Ends the results; tells whether any could not be written.
    pub fn finish(&mut self) -> io::Result<()> {
        self.flush();
        match self.failure.take() {
            // The reader has seen enough, as `head` does.
            Some(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error),
            _ => Ok(()),
        }
    }
}

#[expect(clippy::disallowed_methods, reason = "how errors look on a screen is no result")]
fn colour_is_unwanted() -> bool {
    std::env::var("NO_COLOR").is_ok_and(|value| !value.is_empty())
}

/// Text without characters that steer a terminal; lines stay.
pub(super) fn plain(text: &str) -> String {
    let lines: Vec<_> = text.split('\n').map(normalize_untrusted_str).collect();
    lines.join("\n")
}

/// Works of fewer steps are over before anybody wonders.
const PROGRESS_FROM: usize = 50;

/// How far a long work has come; several threads may step it.
pub struct Progress {
    total: usize,
    done: AtomicUsize,
    is_shown: bool,
    drawing: Mutex<()>,
}

impl Progress {
    /// One step more is done.
    pub fn step(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if self.is_shown && done.is_multiple_of((self.total / 100).max(1)) {
            let _one_at_a_time = self.drawing.lock();
            let _ = write!(io::stderr(), "\r\x1b[2K{done} of {} sheets", self.total);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.is_shown {
            let _ = write!(io::stderr(), "\r\x1b[2K");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn text_of_others_cannot_steer_the_terminal() {
        assert_eq!(plain("a\x1b[31mb\nc\r"), "a␛[31mb\nc␍");
    }
}
