//! From when until when a key is accepted, compared with `ssh-keygen -Y verify -O verify-time=`.

use super::bench::{Bench, facts, judge, statement};
use crate::signature::{Facts, SignOff, Statement, Verdict};

/// Days around the boundaries below.
const DAYS: [&str; 5] = ["2026-10-31", "2026-11-01", "2026-11-02", "2026-11-30", "2026-12-01"];

fn on_day(bench: &Bench, day: &str) -> SignOff {
    bench.sign(&Statement::new(Facts { date: day.parse().unwrap(), ..facts() }).unwrap(), "rt")
}

#[test]
fn a_day_is_accepted_exactly_if_ssh_keygen_accepts_both_of_its_ends() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let signed = DAYS.map(|day| on_day(&bench, day));
    let windows = [
        "valid-after=\"20261101\"",
        "valid-after=\"20261101Z\"",
        "valid-before=\"20261101Z\"",
        "valid-before=\"20261201\"",
        "valid-after=\"20261101000001Z\"",
        "valid-after=\"202611010930Z\"",
        "valid-before=\"202611302359Z\"",
        "valid-before=\"20261130235959Z\"",
        "valid-before=\"20261130235958Z\"",
        "valid-after=\"20261101\",valid-before=\"20261201\"",
        "valid-before=\"20261201\",namespaces=\"soleplate-*\",valid-after=\"20261102\"",
        "valid-after=\"202611010800Z\",valid-before=\"202611011700Z\"",
    ];
    for window in windows {
        let signers = format!("rt@fellmere.example {window} {key}\n");
        for (day, sign_off) in DAYS.iter().zip(&signed) {
            let ends = ["000000Z", "235959Z"].map(|time| format!("verify-time={}{time}", day.replace('-', "")));
            let accepted = ends.iter().all(|end| bench.keygen_accepts("UTC0", sign_off, &signers, &["-O", end]));
            let verdict = judge(sign_off, &signers);
            assert_eq!(verdict.is_good(), accepted, "{window} on {day}: {verdict}");
        }
    }
}

#[test]
fn bounds_in_days_are_the_same_in_every_time_zone() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let signers = format!("rt@fellmere.example valid-after=\"20261101\",valid-before=\"20261201\" {key}\n");
    for day in DAYS {
        let sign_off = on_day(&bench, day);
        // POSIX names of zones 14 hours before and 12 behind UTC.
        for zone in ["EAST-14", "UTC0", "WEST+12"] {
            let ends = ["000000", "235959"].map(|time| format!("verify-time={}{time}", day.replace('-', "")));
            let accepted = ends.iter().all(|end| bench.keygen_accepts(zone, &sign_off, &signers, &["-O", end]));
            assert_eq!(judge(&sign_off, &signers).is_good(), accepted, "{day} in {zone}");
        }
    }
}

#[test]
fn outside_its_time_a_key_is_not_valid_yet_or_expired() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let said = |window: &str| {
        judge(&bench.sign(&statement(), "rt"), &format!("rt@fellmere.example {window} {key}\n")).to_string()
    };
    assert_eq!(
        said("valid-after=\"20261121\""),
        "rt@fellmere.example states that it was signed on 2026-11-20, but the key is accepted from the start of \
         2026-11-21 on, for whole days"
    );
    assert_eq!(
        said("valid-before=\"20261120120000Z\""),
        "rt@fellmere.example states that it was signed on 2026-11-20, but the key is accepted until 2026-11-20 12:00:00 \
         UTC, for whole days"
    );
}

#[test]
fn one_line_that_accepts_the_key_is_enough() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let sign_off = bench.sign(&statement(), "rt");
    let line = |options: &str| format!("rt@fellmere.example {options}{key}\n");
    let (past, git, good) =
        (line("valid-before=\"20200101\" "), line("namespaces=\"git\" "), line("valid-after=\"20260101\" "));
    assert!(judge(&sign_off, &format!("{past}{git}{good}")).is_good());
    assert!(matches!(judge(&sign_off, &format!("{past}{git}")), Verdict::Expired { .. }));
    assert!(matches!(judge(&sign_off, &format!("{git}{past}")), Verdict::NamespaceNotAllowed { .. }));
}
