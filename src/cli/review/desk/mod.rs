//! `soleplate review SHEET --page`: the page of a sheet in the browser, where its lines are marked by click.
//!
//! 1. the sheet is built into a [`Sitting`], and again whenever a file that it rests on is saved;
//! 2. [`Server`] hands over what the browser asks, one after the other, to the loop here;
//! 3. an [`Order`](order::Order) makes marks by the same functions as the command line, if the page on which it was
//!    given is still the one that the files on the disk come to.

mod order;
mod sitting;

use super::{Arguments, replace_marks};
use crate::cli::exit::{Failure, Outcome};
use crate::cli::task::{open, prefix};
use crate::cli::terminal::{Terminal, plain};
use crate::cli::today::day;
use crate::live::http::{Ask, Exchange, Reply, Server};
use crate::live::{Changes, Session, Watcher};
use crate::package::{Place, Wanted};
use crate::render::page::desk::policy;
use crate::review::{By, mark};
use anyhow::Context;
use order::{Order, Wish};
use serde_json::json;
use sitting::Sitting;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::{Duration, Instant};

/// How long a browser waits for news before it asks again.
const NEWS: Duration = Duration::from_secs(20);
/// Browsers' windows that wait for news at one time; the one that has waited longest gives way.
const MOST_WAITING: usize = 24;

/// What the loop is told of.
enum Event {
    /// Files were saved.
    Saved(Changes),
    /// The browser asks something.
    Asked(Exchange),
}

/// Serves the page until the reader ends it; by then every mark is in the file.
pub(super) fn run(arguments: &Arguments, place: Place, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let who = arguments.by.as_deref().map(str::trim).filter(|who| !who.is_empty());
    let Some(who) = who else { return Err(super::nobody_marks().into()) };
    day(arguments.date.as_deref())?;
    let (Wanted::Sheet(sheet) | Wanted::LoneSheet(sheet)) = &place.wanted else {
        return Err(super::not_a_sheet(&arguments.sheet).into());
    };
    let is_package = matches!(place.wanted, Wanted::Sheet(_));
    // Watching starts before the first build, so that nothing saved meanwhile is missed.
    let watcher = Watcher::new(&place.folder, is_package, |_| false)
        .with_context(|| format!("the folder {} cannot be watched", place.folder.display()))?;
    let mut session = Session::new(
        Box::new({
            let place = place.clone();
            move || open(&place)
        }),
        place.wanted.clone(),
    );
    let prefix = prefix(&place.folder);
    let name = format!("{prefix}{sheet}");
    let mut sitting = Sitting::new(sheet, &prefix, who);
    session.start(&mut sitting).with_context(|| format!("the package of {name} cannot be read"))?;
    if !sitting.is_current() {
        terminal.tell_drawn(sitting.problem().trim_end());
        return Ok(sitting.outcome());
    }
    let server = Server::bind(arguments.port).map_err(|error| {
        Failure::unreadable(format!("port {} cannot be taken: {error}", arguments.port))
            .help("leave --port out for a free one")
    })?;
    terminal.say(&plain(&format!("{name} is marked by {who} at {}", server.address())));
    terminal.flush();
    terminal.tell("open this address in a browser on this machine; End on the page or Ctrl+C here ends it");

    let (sender, events) = channel();
    server.run({
        let sender = sender.clone();
        move |exchange| drop(sender.send(Event::Asked(exchange)))
    });
    thread::spawn(move || {
        while let Some(changes) = watcher.next() {
            if sender.send(Event::Saved(changes)).is_err() {
                break;
            }
        }
    });
    Desk { arguments, place: &place, who, session, sitting: &mut sitting, waiting: Vec::new() }.run(&events)?;
    terminal.say(&plain(&format!("{name}: {}", sitting.tally())));
    Ok(Outcome::Satisfied)
}

/// The page in hand, and the windows that wait for it to change.
struct Desk<'a, 's> {
    arguments: &'a Arguments,
    place: &'a Place,
    who: &'a str,
    session: Session,
    sitting: &'a mut Sitting<'s>,
    waiting: Vec<(Instant, Exchange)>,
}

impl Desk<'_, '_> {
    fn run(mut self, events: &Receiver<Event>) -> anyhow::Result<()> {
        loop {
            let patience = self
                .waiting
                .first()
                .map_or(NEWS, |(since, _)| (*since + NEWS).saturating_duration_since(Instant::now()));
            match events.recv_timeout(patience) {
                Ok(Event::Saved(changes)) => {
                    if !self.place.folder.is_dir() {
                        let message = format!("the folder {} is gone", self.place.folder.display());
                        return Err(Failure::unreadable(message).into());
                    }
                    self.look(&changes);
                }
                Ok(Event::Asked(exchange)) => {
                    if let Some(last) = self.take(exchange) {
                        last.answer_last(self.told(200, "ended"));
                        return Ok(());
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Ok(()),
            }
            let now = Instant::now();
            let gives_way = self.waiting.len().saturating_sub(MOST_WAITING);
            let done = self.waiting.iter().position(|(since, _)| *since + NEWS > now).unwrap_or(self.waiting.len());
            for (_, exchange) in self.waiting.drain(..done.max(gives_way)) {
                exchange.answer(Reply::nothing());
            }
        }
    }

    /// Builds the sheet again where a change concerns it, and tells who waits for that.
    fn look(&mut self, changes: &Changes) {
        let before = self.sitting.version().to_owned();
        if let Err(error) = self.session.change(changes, self.sitting) {
            self.sitting.lose(&format!("the package cannot be read: {error}"));
        }
        if self.sitting.version() != before {
            for (_, exchange) in std::mem::take(&mut self.waiting) {
                exchange.answer(self.told(200, ""));
            }
        }
    }

    /// Answers; gives back what is to be answered last.
    fn take(&mut self, exchange: Exchange) -> Option<Exchange> {
        let reply = match &exchange.ask {
            Ask::Page => match self.sitting.page() {
                Ok(html) => Reply::page(html, policy()),
                Err(error) => Reply::refusal(500, &format!("{error:#}")),
            },
            Ask::News(seen) if seen != self.sitting.version() => self.told(200, ""),
            Ask::News(_) => {
                self.waiting.push((Instant::now(), exchange));
                return None;
            }
            Ask::Mark(body) => match serde_json::from_slice::<Order>(body) {
                Ok(Order { action: Wish::End, .. }) => return Some(exchange),
                Ok(order) => self.mark(&order),
                Err(_) => self.told(400, "this is no order to mark a line"),
            },
        };
        exchange.answer(reply);
        None
    }

    /// Does what was ordered, or says why not.
    fn mark(&mut self, order: &Order) -> Reply {
        // What counts is what is on the disk now, whatever the system has told of until now.
        self.look(&Changes::Anything);
        if !self.sitting.is_current() {
            return self.told(409, "The sheet has errors: nothing was marked.");
        }
        if order.version != self.sitting.version() {
            return self.told(409, "The sheet or its marks were changed meanwhile: nothing was marked. Look again.");
        }
        let Some(action) = order.action.action() else { return self.told(400, "this is no order to mark a line") };
        let Some((trace, before)) = self.sitting.subject() else { return self.told(409, "There is no sheet.") };
        let Some(line) = self.sitting.line(&order.line) else {
            return self.told(422, &format!("There is no line {} to mark.", order.line));
        };
        let date = match day(self.arguments.date.as_deref()) {
            Ok(date) => date,
            Err(failure) => return self.told(500, &failure.message),
        };
        let by = By { who: self.who.to_owned(), date, remark: order.words.clone() };
        let marks = match mark(trace, before, &[line], action, &by) {
            Ok(marks) => marks,
            Err(refusal) => return self.told(422, &format!("Not marked: {refusal}.")),
        };
        let name = format!("Line {}", trace.number(line));
        let written = open(self.place)
            .context("the package cannot be read")
            .and_then(|(package, _)| replace_marks(&package, &self.place.folder, self.sitting.sheet(), before, &marks));
        match written {
            Ok(true) => {
                self.look(&Changes::Anything);
                self.told(200, &format!("{name}: {}.", order.action.done()))
            }
            Ok(false) => {
                self.look(&Changes::Anything);
                self.told(409, "The marks were changed meanwhile: nothing was marked. Look again.")
            }
            Err(error) => self.told(500, &format!("Nothing was marked: {error:#}.")),
        }
    }

    fn told(&self, status: u16, message: &str) -> Reply {
        Reply::json(status, &json!({ "message": message, "version": self.sitting.version() }))
    }
}
