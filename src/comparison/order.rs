//! Which members of a row stand in another place.

/// The places of those numbers that have to be taken out, as few as can be, so that the others ascend.
///
/// What is left is the longest ascending run, found by patience sorting.
pub(super) fn out_of_order(numbers: &[usize]) -> Vec<usize> {
    // For each length of an ascending run the place at which the one with the least end ends.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = Vec::with_capacity(numbers.len());
    for (at, number) in numbers.iter().enumerate() {
        let length = ends.partition_point(|end| numbers[*end] < *number);
        before.push(length.checked_sub(1).map(|shorter| ends[shorter]));
        match ends.get_mut(length) {
            Some(end) => *end = at,
            None => ends.push(at),
        }
    }
    let mut stays = vec![false; numbers.len()];
    let mut next = ends.last().copied();
    while let Some(at) = next {
        stays[at] = true;
        next = before[at];
    }
    (0..numbers.len()).filter(|at| !stays[*at]).collect()
}

#[cfg(test)]
mod tests {
    use super::out_of_order;

    #[test]
    fn as_few_as_can_be_are_out_of_order() {
        assert!(out_of_order(&[]).is_empty());
        assert!(out_of_order(&[1, 4, 7]).is_empty());
        assert_eq!(out_of_order(&[0, 3, 1, 2]), [1], "one that went down the page");
        assert_eq!(out_of_order(&[3, 0, 1, 2]), [0]);
        assert_eq!(out_of_order(&[1, 2, 3, 0]), [3], "one that went up the page");
        assert_eq!(out_of_order(&[2, 1, 0]).len(), 2);
    }
}
