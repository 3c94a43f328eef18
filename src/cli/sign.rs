//! `soleplate sign`: signs a calculation in a role, with an SSH key.
//!
//! 1. the sheet is built, and all that stands in the way is told at once;
//! 2. what is signed is said on one screen;
//! 3. `ssh-keygen` signs; the sign-off is judged as its readers will judge it, and only then becomes a file.

use super::exit::{Failure, Outcome};
use super::output::{Output, locked};
use super::summary::Summary;
use super::task::{Task, tasks, tell_findings};
use super::terminal::{Terminal, plain};
use super::today::{day, latest_day};
use crate::evaluate::Verdict;
use crate::package::{Built, MANIFEST, Place, Wanted, locate, sign_off_path};
use crate::render::address::Addresses;
use crate::render::wording::ratio_text;
use crate::sign_off::{Intent, content, judged_with, named_otherwise, obstacles, standing};
use crate::signature::{
    Conversation, Day, Facts, PROGRAM, Principal, Role, SignOff, Statement, Verdict as KeyVerdict, public_key,
    sign_with_ssh_keygen, verify,
};
use anyhow::Context;
use std::ffi::OsStr;
use std::io::IsTerminal;
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  soleplate sign b4.md --role checker --as rt@fellmere.example --key ~/.ssh/id_ed25519
  soleplate sign b4.md --role approver --as kl@fellmere.example --key kl.pub   with a key in an agent or a token

The manifest soleplate.toml says in [sign_off] who may sign, the file allowed_signers by which keys.
The sign-off is written to sign-offs/, a file of its own, to be kept under version control.";

/// What can be typed behind `sign`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Arguments {
    /// The sheet
    pub sheet: PathBuf,
    /// In which role: creator, checker or approver
    #[arg(long, value_name = "ROLE")]
    pub role: String,
    /// Who signs, as the list of allowed signers has the name
    #[arg(long = "as", value_name = "NAME")]
    pub signer: String,
    /// The SSH key: a private key, or a public key whose private half is in an agent or a token
    #[arg(long, value_name = "FILE")]
    pub key: PathBuf,
    /// The day that is stated; today (UTC) where none is named
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<String>,
    /// Sign although a check is not satisfied; the sign-off says so
    #[arg(long)]
    pub although_not_satisfied: bool,
}

/// Signs a sheet.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let usage = |why: String| Failure::usage(why);
    let role: Role = arguments.role.parse().map_err(usage)?;
    let signer: Principal = arguments.signer.parse().map_err(usage)?;
    let date: Day = day(arguments.date.as_deref())?.to_string().parse().map_err(usage)?;
    let latest = latest_day()?;
    if date > latest {
        let message = format!("{date} has come nowhere yet: the latest day is {latest}");
        return Err(Failure::usage(message).help("a signature states the day on which it is made").into());
    }
    let place = locate(&arguments.sheet).map_err(Failure::from)?;
    match place.wanted {
        Wanted::Sheet(_) => {}
        Wanted::LoneSheet(_) => {
            return Err(Failure::usage("this sheet belongs to no package, so that nobody says who may sign it")
                .help("add a `soleplate.toml` with a table `[sign_off.roles]`")
                .into());
        }
        Wanted::All | Wanted::Below(_) => {
            let message = format!("`{}` is a folder", arguments.sheet.display());
            return Err(Failure::usage(message).help("sheets are signed one by one: name a sheet").into());
        }
    }
    let (task, built) = opened(place.clone())?;
    tell_findings(&task, terminal);
    for finding in &built.findings {
        terminal.tell_drawn(&task.drawing(terminal.colour).draw(finding));
    }
    if built.trace.is_none() || !task.is_sound() {
        terminal.tell_error("nothing was signed: first put the errors right");
        return Ok(Outcome::of(&built).max(Outcome::Errors));
    }
    let intent = Intent { role, signer, although_not_satisfied: arguments.although_not_satisfied };
    refuse_obstacles(&task, &built, &intent)?;
    let statement = statement(&task, &built, &intent, date)?;
    tell_statement(&task, &built, &statement, terminal);
    let conversation = if std::io::stdin().is_terminal() { Conversation::OnTerminal } else { Conversation::Captured };
    let signed = sign_with_ssh_keygen(&statement, &arguments.key, OsStr::new(PROGRAM), conversation)
        .map_err(|error| Failure::usage(error.to_string()))?;
    // Others may have marked, signed or changed the sheet while the key was being asked for.
    let _lock = locked(&task.folder, "nothing was signed")?;
    let (task, built) = opened(place)?;
    refuse_obstacles(&task, &built, &intent)?;
    let written = write(&task, &built, &signed, &intent, latest)?;
    terminal.say(&plain(&format!("Signed: {}{written}", task.prefix)));
    Ok(Outcome::Satisfied)
}

/// The package as it is now, and the sheet, built.
fn opened(place: Place) -> anyhow::Result<(Task, Built)> {
    let task = tasks(vec![place])?.pop().context("there is nothing to sign")?;
    let built = task.package.build(task.sheets.first().context("there is nothing to sign")?);
    Ok((task, built))
}

fn refuse_obstacles(task: &Task, built: &Built, intent: &Intent) -> anyhow::Result<()> {
    let found = obstacles(&task.package, built, &standing(&task.package, built), intent);
    if found.is_empty() {
        return Ok(());
    }
    let name = format!("{}{}", task.prefix, built.path);
    let failure = Failure::usage(format!("{name} cannot be signed by {} as {}", intent.signer, intent.role));
    let failure = match roles_to_add(task, intent) {
        Some(lines) => failure.help(lines),
        None => failure,
    };
    Err(found.into_iter().fold(failure, |failure, why| failure.because(why)).into())
}

/// The lines that the manifest lacks for this role, to be put in as they stand and made those of the people.
fn roles_to_add(task: &Task, Intent { role, signer, .. }: &Intent) -> Option<String> {
    let roles = &task.package.signers.policy.roles;
    let place = format!("{}{MANIFEST}", task.prefix);
    match (roles.is_empty(), roles.contains_key(role)) {
        (_, true) => None,
        (false, false) => Some(format!("add to the table [sign_off.roles] of {place}:\n\n{role} = [\"{signer}\"]\n")),
        (true, _) => {
            let names = |of: Role| if of == *role { signer.as_str() } else { "name@example.invalid" };
            // Of who approves nothing is known: two roles are what a check takes.
            let of = [Role::Creator, Role::Checker, Role::Approver];
            let wanted = of.into_iter().filter(|of| *of != Role::Approver || *role == Role::Approver);
            let lines: Vec<String> = wanted.map(|of| format!("{of} = [\"{}\"]", names(of))).collect();
            Some(format!(
                "add to the end of {place}, with the names of those who may sign:\n\n[sign_off.roles]\n{}\n",
                lines.join("\n")
            ))
        }
    }
}

fn statement(task: &Task, built: &Built, intent: &Intent, date: Day) -> anyhow::Result<Statement> {
    let content = content(&task.package, built).context("the sheet has errors")?;
    let front = &built.sheet.as_ref().context("the sheet has errors")?.document.front;
    let facts = Facts {
        sheet: built.path.clone(),
        number: front.number.clone(),
        title: front.title.clone(),
        revision: front.revision.clone(),
        digest: content.digest,
        rules: task.package.signers.policy.rules(),
        role: intent.role,
        signer: intent.signer.clone(),
        date,
        after: standing(&task.package, built).before(intent.role),
        parts: content.parts,
    };
    Ok(Statement::new(facts).map_err(|fault| Failure::usage(fault.to_string()))?)
}

/// Says what is signed: which calculation, how it came out, and on what it rests.
fn tell_statement(task: &Task, built: &Built, statement: &Statement, terminal: &mut Terminal) {
    let facts = statement.facts();
    let Some(trace) = &built.trace else { return };
    let mut say = |what: &str, words: String| terminal.say(&plain(&format!("  {what:<11}{words}")));
    say("sheet", format!("{}{}", task.prefix, facts.sheet));
    say("number", format!("{}, revision {}", facts.number, facts.revision));
    say("title", facts.title.clone());
    let verdict = trace.verdict_of_sheet();
    say("result", verdict.words().to_owned());
    let addresses = Addresses::new(trace);
    if let Some(governing) = Summary::new(trace, &addresses).governing() {
        say("governs", format!("{}, ratio {}", governing.description, ratio_text(governing.ratio)));
    }
    say("digest", facts.digest.to_string());
    for (at, part) in facts.parts.iter().enumerate().take(SHOWN_PARTS) {
        say(if at == 0 { "parts" } else { "" }, part.name.clone());
    }
    if facts.parts.len() > SHOWN_PARTS {
        say("", format!("and {} more, named in the sign-off", facts.parts.len() - SHOWN_PARTS));
    }
    say("rules", facts.rules.clone());
    for (at, earlier) in facts.after.iter().enumerate() {
        say(if at == 0 { "behind" } else { "" }, format!("{} as {}", earlier.signer, earlier.role));
    }
    say("role", facts.role.to_string());
    say("signer", facts.signer.to_string());
    if let Some(named) = named_otherwise(&task.package, built, facts.role, &facts.signer) {
        say("", format!("but the sheet names {named} as {}", facts.role));
    }
    say("date", format!("{}, as you state it", facts.date));
    if verdict == Verdict::NotSatisfied {
        terminal.say("  You sign a calculation of which a check is not satisfied; the sign-off says so.");
    }
}

/// Parts named before signing, so that all fits on one screen.
const SHOWN_PARTS: usize = 8;

/// Writes a sign-off, if it counts by the lists and the policy of the package; gives its path.
fn write(task: &Task, built: &Built, signed: &SignOff, intent: &Intent, latest: Day) -> anyhow::Result<String> {
    let signers = &task.package.signers;
    let verdict = verify(signed, &signers.allowed, &signers.revoked);
    let KeyVerdict::Good { fingerprint, .. } = &verdict else {
        let failure = Failure::usage(format!("the sign-off would not count, so it was not kept: {verdict}"));
        let list = format!("{}{}", task.prefix, signers.paths[0]);
        return Err(match verdict {
            KeyVerdict::UnknownKey { .. } => match public_key(signed) {
                Some(key) => failure
                    .help(format!("if it is a key of {}, add to {list}:\n\n{} {key}\n", intent.signer, intent.signer)),
                None => failure.help(format!("add the public key to {list}")),
            },
            _ => failure,
        }
        .into());
    };
    let facts = signed.statement.facts();
    if let Some(why) = judged_with(&task.package, built, signed, verdict.clone(), latest) {
        return Err(Failure::usage(why).into());
    }
    let path = sign_off_path(&built.path, &facts.revision, facts.role, fingerprint.as_str());
    Output::new(&task.folder)
        .write_durably(&path, signed.to_text().as_bytes())
        .with_context(|| format!("{}{path} cannot be written", task.prefix))?;
    Ok(path)
}
