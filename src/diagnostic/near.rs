//! Near names, for "did you mean".

/// The candidate that differs least from a name, if it differs little: a wrong case or up to a third of its letters.
///
/// Ties go to the candidate that comes first.
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if name.is_empty() || name.len() > 64 {
        return None;
    }
    let limit = (name.chars().count() / 3).clamp(1, 3);
    candidates
        .into_iter()
        .filter(|candidate| *candidate != name && candidate.len() <= 64)
        .map(|candidate| {
            let distance = if candidate.eq_ignore_ascii_case(name) { 0 } else { edit_distance(name, candidate) };
            (distance, candidate)
        })
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Insertions, deletions and replacements between two words; a swap of neighbours counts as one.
fn edit_distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let replaced = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = replaced.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = least;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_near_name_is_found_and_a_far_one_is_not() {
        let names = ["N_Ed", "N_Rd_c", "h_ef", "gamma_Mc"];
        assert_eq!(nearest("h_fe", names), Some("h_ef"));
        assert_eq!(nearest("n_ed", names), Some("N_Ed"));
        assert_eq!(nearest("gama_Mc", names), Some("gamma_Mc"));
        assert_eq!(nearest("wind", names), None);
    }
}
