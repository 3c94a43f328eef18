//! Which roles are filled, and which sign-offs are void.

use super::bench::{Bench, DIGEST, OTHER_DIGEST, digest, facts, judge as verdict_of};
use crate::signature::{
    Day, Digest, Earlier, Facts, Judgement, Part, PartChange, Policy, Role, Statement, Subject, Verdict, Verified,
    VoidReason,
};
use proptest::prelude::*;

/// Of the order of roles other tests say.
const POLICY: &str = r#"
in_order = false
[roles]
creator = ["*@fellmere.example"]
checker = ["*@fellmere.example", "!guest@*"]
approver = ["ab@fellmere.example", "rt@fellmere.example"]
"#;

fn policy() -> Policy {
    toml::from_str(POLICY).unwrap()
}

/// Keys `rt`, `mk` and `ab` for those principals, the key `guest` for everybody, and `mk2` for mk as well.
struct Office {
    bench: Bench,
    signers: String,
}

impl Office {
    fn new() -> Self {
        let bench = Bench::new();
        let mut signers = String::new();
        for (key, principals) in [("rt", "rt@*"), ("mk", "mk@*"), ("mk2", "mk@*"), ("ab", "ab@*"), ("guest", "*")] {
            signers.push_str(&format!("{principals} {}\n", bench.key(key, "ed25519")));
        }
        Self { bench, signers }
    }

    /// Somebody signs in a role with a key.
    fn sign(&self, role: Role, name: &str, key: &str, change: impl FnOnce(&mut Facts)) -> Verified {
        let mut facts = Facts { role, signer: format!("{name}@fellmere.example").parse().unwrap(), ..facts() };
        change(&mut facts);
        let statement = Statement::new(facts).unwrap();
        let sign_off = self.bench.sign(&statement, key);
        let verdict = verdict_of(&sign_off, &self.signers);
        Verified { statement, verdict, as_earlier: sign_off.as_earlier() }
    }
}

fn judge(policy: &Policy, sign_offs: &[Verified]) -> Judgement {
    judge_until(policy, sign_offs, None)
}

/// Judges on a day.
fn judge_until(policy: &Policy, sign_offs: &[Verified], latest: Option<Day>) -> Judgement {
    let Facts { sheet, number, title, revision, parts, .. } = &facts();
    let digest = digest(DIGEST);
    policy.judge(&Subject { sheet, number, title, revision, digest, parts, latest }, sign_offs)
}

fn held(judgement: &Judgement) -> Vec<(Role, Vec<usize>)> {
    judgement.roles.iter().map(|state| (state.role, state.held_by.clone())).collect()
}

fn void(judgement: &Judgement) -> Vec<(usize, String)> {
    judgement.void.iter().map(|void| (void.index, void.reason.to_string())).collect()
}

#[test]
fn three_people_fill_three_roles() {
    let office = Office::new();
    let all = [
        office.sign(Role::Approver, "ab", "ab", |_| {}),
        office.sign(Role::Creator, "rt", "rt", |_| {}),
        office.sign(Role::Checker, "mk", "mk", |_| {}),
    ];
    let judgement = judge(&policy(), &all);
    assert_eq!(held(&judgement), [(Role::Creator, vec![1]), (Role::Checker, vec![2]), (Role::Approver, vec![0])]);
    assert!(judgement.void.is_empty() && judgement.is_complete());
    let open = judge(&policy(), &all[1..]);
    assert_eq!(held(&open)[2], (Role::Approver, vec![]));
    assert!(!open.is_complete());
}

#[test]
fn one_person_keeps_the_first_role() {
    let office = Office::new();
    let all = [
        office.sign(Role::Checker, "rt", "rt", |_| {}),
        office.sign(Role::Creator, "rt", "rt", |_| {}),
        office.sign(Role::Approver, "rt", "rt", |_| {}),
    ];
    let judgement = judge(&policy(), &all);
    assert_eq!(held(&judgement), [(Role::Creator, vec![1]), (Role::Checker, vec![]), (Role::Approver, vec![])]);
    assert_eq!(
        void(&judgement)[0],
        (0, "rt@fellmere.example has signed as creator already, and the checker must be another person".to_owned())
    );
    assert_eq!(judgement.void.len(), 2);
    let free = Policy { different_people: false, ..policy() };
    let signed_freely: Vec<Verified> = [Role::Creator, Role::Checker, Role::Approver]
        .map(|role| office.sign(role, "rt", "rt", |facts| facts.rules = free.rules()))
        .to_vec();
    let judgement = judge(&free, &signed_freely);
    assert!(judgement.is_complete() && judgement.void.is_empty());
    assert_eq!(judgement.held_twice(&signed_freely), Some((0, 1)), "whoever minds is told");
}

#[test]
fn one_key_under_two_names_is_one_person() {
    let office = Office::new();
    let all = [office.sign(Role::Creator, "rt", "guest", |_| {}), office.sign(Role::Checker, "mk", "guest", |_| {})];
    assert!(all.iter().all(|sign_off| sign_off.verdict.is_good()));
    let judgement = judge(&policy(), &all);
    assert_eq!(held(&judgement)[1], (Role::Checker, vec![]));
    assert_eq!(
        void(&judgement),
        [(
            1,
            "mk@fellmere.example and rt@fellmere.example, who has signed as creator already, use the same keys, and the \
             checker must be another person"
                .to_owned()
        )]
    );
}

#[test]
fn a_second_key_does_not_make_a_second_person() {
    let office = Office::new();
    let by_name = [office.sign(Role::Creator, "mk", "mk", |_| {}), office.sign(Role::Checker, "mk", "mk2", |_| {})];
    assert_eq!(judge(&policy(), &by_name).void.len(), 1);
    // rt and mk are one by the key that both use, and so is mk with another key.
    let by_chain = [
        office.sign(Role::Creator, "rt", "guest", |_| {}),
        office.sign(Role::Creator, "mk", "guest", |_| {}),
        office.sign(Role::Checker, "mk", "mk2", |_| {}),
    ];
    let judgement = judge(&policy(), &by_chain);
    assert_eq!(held(&judgement)[0], (Role::Creator, vec![1, 0]));
    assert_eq!(judgement.void.iter().map(|void| void.index).collect::<Vec<_>>(), [2]);
}

#[test]
fn a_name_in_other_letters_is_not_another_person() {
    let office = Office::new();
    let all = [office.sign(Role::Creator, "xy", "guest", |_| {}), office.sign(Role::Checker, "XY", "guest", |_| {})];
    assert_eq!(judge(&policy(), &all).void.len(), 1);
}

#[test]
fn a_sign_off_of_something_else_is_void_and_says_why() {
    let office = Office::new();
    let sign = |change: fn(&mut Facts)| office.sign(Role::Checker, "mk", "mk", change);
    let all = [
        sign(|facts| facts.sheet = "bases/b5.md".to_owned()),
        sign(|facts| facts.number = "FTD-ST-CALC-005".to_owned()),
        sign(|facts| facts.title = "Base plate B5".to_owned()),
        sign(|facts| facts.revision = "P02".to_owned()),
        sign(|facts| facts.digest = digest(OTHER_DIGEST)),
        sign(|facts| {
            facts.digest = digest(OTHER_DIGEST);
            facts.parts[0].digest = digest(DIGEST);
            facts.parts[1].name = "sheet old.md".to_owned();
        }),
        sign(|facts| {
            facts.digest = digest(OTHER_DIGEST);
            facts.parts.clear();
        }),
        office.sign(Role::Approver, "mk", "mk", |_| {}),
        office.sign(Role::Checker, "guest", "guest", |_| {}),
        office.sign(Role::Checker, "rt", "mk", |_| {}),
    ];
    let judgement = judge(&policy(), &all);
    assert!(judgement.roles.iter().all(|state| state.held_by.is_empty()));
    let said = void(&judgement);
    assert_eq!(said.iter().map(|(index, _)| *index).collect::<Vec<_>>(), (0..all.len()).collect::<Vec<_>>());
    let said: Vec<&str> = said.iter().map(|(_, words)| words.as_str()).collect();
    assert_eq!(
        said[..9],
        [
            "it was signed for another sheet, bases/b5.md",
            "it was signed when the number was `FTD-ST-CALC-005`; now it is `FTD-ST-CALC-004`",
            "it was signed when the title was `Base plate B5`; now it is `Base plate B4, 20 × 300 × 300 mm`",
            "it was signed when the revision was `P02`; now it is `P01`",
            "what decides the result has changed since it was signed",
            "what decides the result has changed since it was signed: clause en-1992-4/pull-out is another, sheet \
             bases/b4.md has come in, sheet old.md is gone",
            "what decides the result has changed since it was signed",
            "mk@fellmere.example is not among those who may sign as approver",
            "guest@fellmere.example is not among those who may sign as checker",
        ]
    );
    assert!(said[9].starts_with("the statement names rt@fellmere.example as the signer, but the key SHA256:"));
    assert!(matches!(&judgement.void[9].reason, VoidReason::NotVerified(Verdict::KeyOfAnother { .. })));
    let VoidReason::Changed { parts } = &judgement.void[5].reason else { panic!("{:?}", judgement.void[5]) };
    assert_eq!(parts[0], PartChange::Altered("clause en-1992-4/pull-out".to_owned()));
}

#[test]
fn a_void_sign_off_keeps_nobody_from_another_role() {
    let office = Office::new();
    let all = [
        office.sign(Role::Creator, "mk", "mk", |facts| facts.revision = "P00".to_owned()),
        office.sign(Role::Checker, "mk", "mk", |_| {}),
    ];
    let judgement = judge(&policy(), &all);
    assert_eq!(held(&judgement)[1], (Role::Checker, vec![1]));
}

#[test]
fn a_package_may_demand_fewer_roles_or_none() {
    let office = Office::new();
    let all = [office.sign(Role::Creator, "rt", "rt", |_| {}), office.sign(Role::Approver, "ab", "ab", |_| {})];
    let one: Policy = toml::from_str("roles = { creator = ['*'] }").unwrap();
    let all = all.map(|verified| {
        let facts = verified.statement.facts();
        let name = facts.signer.as_str().split('@').next().unwrap().to_owned();
        office.sign(facts.role, &name, &name, |facts| facts.rules = one.rules())
    });
    let judgement = judge(&one, &all);
    assert!(judgement.is_complete());
    assert_eq!(void(&judgement), [(1, "this package has no approver".to_owned())]);
    assert!(!judge(&Policy::default(), &all).is_complete(), "nothing is demanded, so nothing is complete");
}

#[test]
fn a_policy_is_read_strictly_and_written_as_it_is_read() {
    assert!(policy().different_people, "people differ unless said otherwise");
    let written = toml::to_string(&policy()).unwrap();
    assert_eq!(toml::from_str::<Policy>(&written).unwrap(), policy());
    let refused = |text: &str| toml::from_str::<Policy>(text).unwrap_err().message().to_owned();
    assert!(refused("people = 1").contains("people"));
    assert!(refused("roles = { boss = ['*'] }").contains("boss"));
    assert!(refused("roles = { checker = [] }").contains("`*` stands for everybody"));
    assert!(refused("roles = { checker = ['!rt'] }").contains("`*` stands for everybody"));
    assert!(refused("roles = { checker = ['a,b'] }").contains("`,` cannot stand in a pattern"));
    assert!(refused("roles = { checker = [''] }").contains("a pattern is empty"));
}

/// Sign-offs with verdicts as if verified; roles, people and contents at random.
fn any_verified() -> impl Strategy<Value = Verified> {
    let office = Office::new();
    let keys: Vec<Verdict> =
        ["rt", "mk", "ab"].map(|name| office.sign(Role::Creator, name, name, |_| {}).verdict).to_vec();
    let role = prop::sample::select(Role::ALL.to_vec());
    let name = prop::sample::select(vec!["rt", "mk", "ab"]);
    (role, name, prop::sample::select(keys), 1_u8..4, 0_u8..4).prop_map(|(role, name, verdict, day, content)| {
        let Verdict::Good { fingerprint, .. } = verdict else { panic!("{verdict}") };
        let principal: crate::signature::Principal = format!("{name}@fellmere.example").parse().unwrap();
        let digest = if content == 0 { Digest([0; 32]) } else { digest(DIGEST) };
        let date = format!("2026-11-0{day}").parse().unwrap();
        let statement = Statement::new(Facts { role, digest, date, signer: principal.clone(), ..facts() }).unwrap();
        let as_earlier = Earlier { role, signer: principal.clone(), digest };
        Verified { statement, verdict: Verdict::Good { principal, fingerprint }, as_earlier }
    })
}

proptest! {
    #[test]
    fn every_sign_off_stands_or_is_void_whatever_their_order(
        (all, shuffled) in prop::collection::vec(any_verified(), 0..7)
            .prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle()))
    ) {
        let judgement = judge(&policy(), &all);
        let mut seen: Vec<usize> = judgement.roles.iter().flat_map(|state| state.held_by.clone()).collect();
        seen.extend(judgement.void.iter().map(|void| void.index));
        seen.sort_unstable();
        prop_assert_eq!(seen, (0..all.len()).collect::<Vec<_>>());

        let standing = |judgement: &Judgement, all: &[Verified]| -> Vec<(Role, Vec<String>)> {
            let text = |index: &usize| all[*index].statement.text().to_owned();
            let mut roles: Vec<(Role, Vec<String>)> =
                judgement.roles.iter().map(|state| (state.role, state.held_by.iter().map(text).collect())).collect();
            roles.iter_mut().for_each(|(_, texts)| texts.sort());
            roles
        };
        prop_assert_eq!(standing(&judgement, &all), standing(&judge(&policy(), &shuffled), &shuffled));

        // Nobody holds two roles, by name or by key.
        for (i, state) in judgement.roles.iter().enumerate() {
            for other in &judgement.roles[i + 1..] {
                for (a, b) in state.held_by.iter().flat_map(|a| other.held_by.iter().map(move |b| (*a, *b))) {
                    prop_assert_ne!(&all[a].statement.facts().signer, &all[b].statement.facts().signer);
                    prop_assert_ne!(&all[a].verdict, &all[b].verdict);
                    let (Verdict::Good { fingerprint: a, .. }, Verdict::Good { fingerprint: b, .. }) =
                        (&all[a].verdict, &all[b].verdict) else { panic!("all are good") };
                    prop_assert_ne!(a, b);
                }
            }
        }
    }
}

#[test]
fn parts_that_stayed_are_not_told_as_changed() {
    let office = Office::new();
    let part = |name: &str| Part { name: name.to_owned(), digest: digest(DIGEST) };
    let sign_off = office.sign(Role::Checker, "mk", "mk", |facts| {
        facts.digest = digest(OTHER_DIGEST);
        facts.parts.push(part("sheet z.md"));
    });
    let judgement = judge(&policy(), &[sign_off]);
    let VoidReason::Changed { parts } = &judgement.void[0].reason else { panic!("{judgement:?}") };
    assert_eq!(parts, &[PartChange::Removed("sheet z.md".to_owned())]);
}

#[test]
fn the_rules_are_signed_and_the_people_who_may_sign_are_not() {
    let office = Office::new();
    assert_eq!(policy().rules(), facts().rules);
    assert_eq!(Policy::default().rules(), "no roles; different people; every line ticked; in order");
    let signed = [office.sign(Role::Creator, "rt", "rt", |_| {})];
    let with_others: Policy = toml::from_str(&POLICY.replace("\"ab@", "\"xy@elsewhere.example\", \"ab@")).unwrap();
    assert!(judge(&with_others, &signed).void.is_empty(), "another person may approve as well");
    let edits = [
        (Policy { different_people: false, ..policy() }, "creator, checker, approver; every line ticked"),
        (Policy { all_lines_ticked: false, ..policy() }, "creator, checker, approver; different people"),
        (
            Policy { in_order: true, ..policy() },
            "creator, checker, approver; different people; every line ticked; in order",
        ),
        (
            Policy {
                roles: policy().roles.into_iter().filter(|(role, _)| *role != Role::Checker).collect(),
                ..policy()
            },
            "creator, approver; different people; every line ticked",
        ),
    ];
    for (edited, now) in edits {
        assert_eq!(
            void(&judge(&edited, &signed)),
            [(
                0,
                format!("the rules of sign-off changed: it was signed under `{}`; now they are `{now}`", facts().rules)
            )]
        );
    }
    let without_signer: Policy = toml::from_str(&POLICY.replace("creator = [\"*@", "creator = [\"ab@")).unwrap();
    let told = void(&judge(&without_signer, &signed));
    assert_eq!(told, [(0, "rt@fellmere.example is not among those who may sign as creator".to_owned())]);
}

#[test]
fn in_order_a_role_counts_behind_those_before_it_alone() {
    let office = Office::new();
    let in_order = Policy { in_order: true, ..policy() };
    let sign = |role, name: &str, after: &[&Verified]| {
        let mut after: Vec<Earlier> = after.iter().map(|verified| verified.as_earlier.clone()).collect();
        after.sort();
        office.sign(role, name, name, |facts| (facts.rules, facts.after) = (in_order.rules(), after))
    };
    let creator = sign(Role::Creator, "rt", &[]);
    let checker = sign(Role::Checker, "mk", &[&creator]);
    let approver = sign(Role::Approver, "ab", &[&creator, &checker]);
    let judgement = judge(&in_order, &[approver.clone(), checker.clone(), creator.clone()]);
    assert!(judgement.is_complete() && judgement.void.is_empty(), "{judgement:?}");

    let early = sign(Role::Checker, "mk", &[]);
    let told = "the creator had not signed when it was made, and the checker signs behind the creator";
    assert_eq!(void(&judge(&in_order, &[early.clone(), creator.clone()])), [(0, told.to_owned())]);
    // Whoever is behind what counts for nothing counts for nothing.
    let behind_early = sign(Role::Approver, "ab", &[&creator, &early]);
    let told = void(&judge(&in_order, &[creator.clone(), early, behind_early]));
    assert_eq!(told.iter().map(|(index, _)| *index).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(told[1].1, "what the checker had signed when it was made counts no more, or was signed anew");
    // Signed anew on another day it is another sign-off, which the checker has not seen.
    let anew = office.sign(Role::Creator, "rt", "rt", |facts| {
        (facts.rules, facts.date) = (in_order.rules(), "2026-11-21".parse().unwrap());
    });
    let told = "what the creator had signed when it was made counts no more, or was signed anew";
    assert_eq!(void(&judge(&in_order, &[anew, checker.clone()])), [(1, told.to_owned())]);
    // A role that is not demanded need not be signed for.
    let two: Policy = toml::from_str("[roles]\ncreator = ['*']\napprover = ['*']\n").unwrap();
    let creator = office.sign(Role::Creator, "rt", "rt", |facts| facts.rules = two.rules());
    let approver = office.sign(Role::Approver, "ab", "ab", |facts| {
        (facts.rules, facts.after) = (two.rules(), vec![creator.as_earlier.clone()]);
    });
    assert!(judge(&two, &[creator, approver]).is_complete());
}

#[test]
fn a_day_that_has_not_come_is_found_where_the_day_is_known() {
    let office = Office::new();
    let all = [office.sign(Role::Checker, "mk", "mk", |_| {})];
    let until = |day: &str| void(&judge_until(&policy(), &all, Some(day.parse().unwrap())));
    assert!(until("2026-11-20").is_empty());
    let told = "it states that it was signed on 2026-11-20, which has come nowhere yet: the latest day is 2026-11-19";
    assert_eq!(until("2026-11-19"), [(0, told.to_owned())]);
    assert!(judge(&policy(), &all).void.is_empty(), "a page is the same on every day");
}

/// Nobody names a sign-off that is not there yet, so that an earlier day is not true.
#[test]
fn a_sign_off_states_no_day_before_that_of_one_it_names() {
    let office = Office::new();
    let day = |text: &str| text.parse::<Day>().unwrap();
    let creator = office.sign(Role::Creator, "rt", "rt", |facts| facts.date = day("2026-12-31"));
    let after = vec![creator.as_earlier.clone()];
    let checker = |stated: &str| {
        office.sign(Role::Checker, "mk", "mk", |facts| {
            facts.after = after.clone();
            facts.date = day(stated);
        })
    };
    for stands in ["2026-12-30", "2026-12-31", "2027-01-01"] {
        assert!(judge(&policy(), &[creator.clone(), checker(stands)]).void.is_empty(), "{stands}");
    }
    let judgement = judge(&policy(), &[creator.clone(), checker("2026-12-29")]);
    let reason =
        "it states that it was signed on 2026-12-29, but was made on top of the creator's sign-off of 2026-12-31";
    assert_eq!(void(&judgement), [(1, reason.to_owned())]);
}

#[test]
fn every_day_has_a_next() {
    for (day, next) in [
        ("2026-11-26", "2026-11-27"),
        ("2026-11-30", "2026-12-01"),
        ("2026-12-31", "2027-01-01"),
        ("2028-02-28", "2028-02-29"),
        ("2027-02-28", "2027-03-01"),
        ("9999-12-31", "9999-12-31"),
    ] {
        assert_eq!(day.parse::<Day>().unwrap().next(), next.parse().unwrap());
    }
}
