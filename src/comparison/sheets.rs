//! The calculations of two packages, put beside each other.

/// A calculation by its place in each of two lists; nothing where it is in one only.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Beside {
    /// In the older list.
    pub old: Option<usize>,
    /// In the newer list.
    pub new: Option<usize>,
}

/// Puts calculations beside each other, each given by path and number: by path first, then by number.
///
/// A number that stands more than once in what is left says nothing. What is in the newer list comes first, in its
/// order; then what is gone.
pub fn beside(old: &[(&str, &str)], new: &[(&str, &str)]) -> Vec<Beside> {
    let mut taken: Vec<Option<usize>> =
        new.iter().map(|(path, _)| old.iter().position(|(own, _)| own == path)).collect();
    let is_free = |taken: &[Option<usize>], at: usize| !taken.contains(&Some(at));
    let of_number = |list: &[(&str, &str)], number: &str, is_left: &dyn Fn(usize) -> bool| -> Option<usize> {
        let mut found = list.iter().enumerate().filter(|(at, (_, own))| *own == number && is_left(*at));
        let first = found.next()?.0;
        found.next().is_none().then_some(first)
    };
    let by_path = taken.clone();
    for (at, (_, number)) in new.iter().enumerate().filter(|(at, _)| by_path[*at].is_none()) {
        let is_alone = of_number(new, number, &|other| by_path[other].is_none()) == Some(at);
        if !number.is_empty() && is_alone {
            taken[at] = of_number(old, number, &|other| is_free(&by_path, other));
        }
    }
    let gone = (0..old.len()).filter(|at| is_free(&taken, *at)).map(|at| Beside { old: Some(at), new: None });
    let all = taken.iter().enumerate().map(|(at, old)| Beside { old: *old, new: Some(at) });
    all.chain(gone).collect()
}

#[cfg(test)]
mod tests {
    use super::{Beside, beside};

    fn places(old: &[(&str, &str)], new: &[(&str, &str)]) -> Vec<(Option<usize>, Option<usize>)> {
        beside(old, new).into_iter().map(|Beside { old, new }| (old, new)).collect()
    }

    #[test]
    fn the_path_goes_before_the_number_and_a_number_must_be_alone() {
        let old = [("a.md", "1"), ("b.md", "2"), ("c.md", "3")];
        assert_eq!(places(&old, &old), [(Some(0), Some(0)), (Some(1), Some(1)), (Some(2), Some(2))]);
        let moved = [("a.md", "3"), ("x/b.md", "2"), ("d.md", "4")];
        assert_eq!(places(&old, &moved), [(Some(0), Some(0)), (Some(1), Some(1)), (None, Some(2)), (Some(2), None)]);
        let twice = [("x.md", "2"), ("y.md", "2")];
        assert_eq!(places(&[("b.md", "2")], &twice), [(None, Some(0)), (None, Some(1)), (Some(0), None)]);
        assert_eq!(places(&[("b.md", "")], &[("c.md", "")]), [(None, Some(0)), (Some(0), None)]);
    }
}
