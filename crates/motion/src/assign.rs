use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Costs are compared in whole millionths.
const UNIT: f64 = 1e6;

/// The pairing of rows with columns of least total cost (Kuhn 1955; Munkres 1957): for each row its column, or `None`
/// when it is left over or its best pairing would cost `limit` or more (or is not a number). Every row has the same
/// length; missing columns are `None`, surplus ones are free.
pub fn assign(costs: &[Vec<f64>], limit: f64) -> Vec<Option<usize>> {
    let (rows, columns) = (costs.len(), costs.first().map_or(0, Vec::len));
    if columns == 0 {
        return vec![None; rows];
    }
    let allowed = |r: usize, c: usize| costs[r].get(c).copied().filter(|x| *x < limit && x.is_finite());
    let most = (0..rows)
        .flat_map(|r| (0..columns).map(move |c| (r, c)))
        .filter_map(|(r, c)| allowed(r, c))
        .fold(0.0, |m: f64, x| m.max(x.abs()));
    // Dearer than any set of allowed pairings can save, so that a forbidden one is used only when it must be.
    let forbidden = 2.0 * (most + 1.0) * rows.min(columns) as f64;
    let weight = |r: usize, c: usize| (allowed(r, c).unwrap_or(forbidden) * UNIT).round() as i64;
    // The library wants no more rows than columns.
    let across = rows <= columns;
    let (short, long) = if across { (rows, columns) } else { (columns, rows) };
    let weights = Matrix::from_fn(short, long, |(i, j)| if across { weight(i, j) } else { weight(j, i) });
    let (_, chosen) = kuhn_munkres_min(&weights);
    let mut pairs = vec![None; rows];
    for (i, j) in chosen.into_iter().enumerate() {
        let (r, c) = if across { (i, j) } else { (j, i) };
        pairs[r] = allowed(r, c).map(|_| c);
    }
    pairs
}

/// The pairing of least total cost in which a row may stay alone for `alone`, so that no pair is made dearer to spare another
/// row its loneliness. Entries that are not numbers are forbidden.
pub fn assign_or_leave(costs: &[Vec<f64>], alone: f64) -> Vec<Option<usize>> {
    let columns = costs.first().map_or(0, Vec::len);
    let wider: Vec<Vec<f64>> = costs
        .iter()
        .map(|row| row.iter().copied().chain(std::iter::repeat_n(alone, costs.len())).collect())
        .collect();
    assign(&wider, f64::INFINITY).into_iter().map(|c| c.filter(|c| *c < columns)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One column that both rows want: the dearer row stays alone rather than taking what the other leaves it.
    #[test]
    fn a_row_stays_alone_rather_than_push_another_away() {
        let costs = vec![vec![1.0, 9.0], vec![3.0, f64::INFINITY]];
        assert_eq!(assign(&costs, f64::INFINITY), [Some(1), Some(0)]);
        assert_eq!(assign_or_leave(&costs, 5.0), [Some(0), None]);
        assert_eq!(assign_or_leave(&costs, 20.0), [Some(1), Some(0)]);
        assert!(assign_or_leave(&[], 5.0).is_empty());
        assert_eq!(assign_or_leave(&[vec![], vec![]], 5.0), [None, None]);
    }

    /// The cheapest pairing of a small table, by trying all: 1 + 2 + 2 against 4 + 0 + 3 and the rest.
    #[test]
    fn the_cheapest_pairing_is_taken_and_dear_ones_are_not() {
        let costs = vec![vec![4.0, 1.0, 3.0], vec![2.0, 0.0, 5.0], vec![3.0, 2.0, 2.0]];
        assert_eq!(assign(&costs, f64::INFINITY), [Some(1), Some(0), Some(2)]);
        assert_eq!(assign(&[vec![9.0, 1.0], vec![9.0, 2.0]], 5.0), [Some(1), None]);
        assert_eq!(assign(&[vec![f64::NAN, f64::INFINITY]], 5.0), [None]);
        assert_eq!(assign(&[vec![], vec![]], 5.0), [None, None]);
        assert!(assign(&[], 5.0).is_empty());
    }
}
