//! Functions of tables: the pairs of two tables' rows, rows by the labels of another table, and a random sample that anyone can draw again.

use super::{Function, LabelRule, Signature};
use sha2::{Digest, Sha256};

/// Whole numbers up to this one are exact as `f64`.
pub const LARGEST_SEED: f64 = 9_007_199_254_740_991.0;

/// Rows that pairs may come to.
pub const MOST_PAIRS: usize = 100_000;

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "pairs",
        usage: "pairs(bases, anchors)",
        summary: "a table with a row for each row of the second in each row of the first, labelled by both with a space \
                  between them, `B3 A7`; its columns are those of the second",
        signature: Signature::Pairs,
        examples: &[],
    },
    Function {
        name: "without",
        usage: "without(rows, others)",
        summary: "the rows of a table whose labels another table lacks, such as the anchors that a survey left out",
        signature: Signature::Labels(LabelRule::Without),
        examples: &[],
    },
    Function {
        name: "in_order_of",
        usage: "in_order_of(rows, others)",
        summary: "the rows of a table whose labels another table has, in the order of that table, so that rows of the two \
                  belong together",
        signature: Signature::Labels(LabelRule::InOrderOf),
        examples: &[],
    },
    Function {
        name: "random_sample",
        usage: "random_sample(rows, n, seed)",
        summary: "`n` rows of a table, drawn at random and [repeatable by hand](#random-samples), in the order of the \
                  table; `seed` is a whole number",
        signature: Signature::RandomSample,
        examples: &[],
    },
];

/// The places of the rows that are drawn, in ascending order; all rows where there are no more than `n`.
///
/// Each label is ranked by the SHA-256 (FIPS 180-4) of the seed in decimal digits, a space and the label, in UTF-8; the
/// `n` least are drawn, so that a larger sample holds every smaller one of the same seed. No generator of random numbers
/// is behind it, whose next version could draw others.
pub fn draw(seed: u64, labels: &[String], n: usize) -> Vec<usize> {
    let digest = |label: &String| -> [u8; 32] { Sha256::digest(format!("{seed} {label}")).into() };
    let mut ranked: Vec<([u8; 32], usize)> =
        labels.iter().enumerate().map(|(place, label)| (digest(label), place)).collect();
    ranked.sort_unstable();
    let mut drawn: Vec<usize> = ranked.into_iter().take(n).map(|(_, place)| place).collect();
    drawn.sort_unstable();
    drawn
}

#[cfg(test)]
mod tests {
    use super::draw;

    /// Seed, number, labels and those drawn, by another program; random_sample.py says how.
    const DRAWN: &str = include_str!("../../tests/references/random_sample.txt");

    fn cases() -> impl Iterator<Item = (u64, usize, Vec<String>, Vec<String>)> {
        DRAWN.lines().map(|line| {
            let [seed, n, rest] = line.splitn(3, "; ").collect::<Vec<_>>()[..] else { panic!("{line}") };
            let (labels, drawn) = rest.split_once(" |").unwrap();
            let list = |text: &str| text.split(", ").map(|label| label.trim().to_owned()).collect::<Vec<_>>();
            let drawn = if drawn.trim().is_empty() { Vec::new() } else { list(drawn) };
            (seed.parse().unwrap(), n.parse().unwrap(), list(labels), drawn)
        })
    }

    #[test]
    fn the_rows_are_those_that_another_program_draws() {
        assert_eq!(cases().count(), 11);
        for (seed, n, labels, expected) in cases() {
            let drawn: Vec<String> = draw(seed, &labels, n).into_iter().map(|place| labels[place].clone()).collect();
            assert_eq!(drawn, expected, "seed {seed}, {n} of {labels:?}");
        }
    }

    #[test]
    fn a_larger_sample_holds_the_smaller_and_the_order_of_the_table_changes_nothing() {
        for (seed, _, labels, _) in cases() {
            let marks = |labels: &[String], n: usize| -> Vec<String> {
                let mut drawn: Vec<String> =
                    draw(seed, labels, n).into_iter().map(|place| labels[place].clone()).collect();
                drawn.sort_unstable();
                drawn
            };
            let reversed: Vec<String> = labels.iter().rev().cloned().collect();
            for n in 0..labels.len() {
                let (few, more) = (marks(&labels, n), marks(&labels, n + 1));
                assert_eq!((few.len(), more.len()), (n, n + 1));
                assert!(few.iter().all(|label| more.contains(label)));
                assert_eq!(few, marks(&reversed, n));
            }
            assert_eq!(draw(seed, &labels, labels.len() + 1).len(), labels.len());
        }
    }
}
