//! Maxima of likelihoods, for figures that were published as such. The program itself has no
//! optimiser: it sums over grids.

/// Solution of a linear system given as rows with the right side last (Gauss, pivoting by column).
pub(crate) fn solve(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let n = rows.len();
    for column in 0..n {
        let pivot = (column..n)
            .max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))
            .expect("a row");
        rows.swap(column, pivot);
        let head = rows[column].clone();
        for (place, row) in rows.iter_mut().enumerate() {
            if place != column {
                let factor = row[column] / head[column];
                for (value, above) in row.iter_mut().zip(&head) {
                    *value -= factor * above;
                }
            }
        }
    }
    (0..n).map(|i| rows[i][n] / rows[i][i]).collect()
}

/// Place of the maximum by Newton steps on differences, and the matrix of second derivatives.
pub(crate) fn maximum(f: &dyn Fn(&[f64]) -> f64, start: &[f64]) -> (Vec<f64>, Vec<Vec<f64>>) {
    const H: f64 = 1e-3;
    let n = start.len();
    let mut at = start.to_vec();
    let moved = |at: &[f64], steps: &[(usize, f64)]| {
        let mut there = at.to_vec();
        for (place, step) in steps {
            there[*place] += step;
        }
        f(&there)
    };
    let mut hessian = vec![vec![0.0; n]; n];
    for _ in 0..200 {
        let mut rows = vec![vec![0.0; n + 1]; n];
        for i in 0..n {
            for j in 0..n {
                hessian[i][j] = (moved(&at, &[(i, H), (j, H)])
                    - moved(&at, &[(i, H), (j, -H)])
                    - moved(&at, &[(i, -H), (j, H)])
                    + moved(&at, &[(i, -H), (j, -H)]))
                    / (4.0 * H * H);
                rows[i][j] = hessian[i][j];
            }
            // Five points: the error of the slope is of the fourth order.
            let slope = (8.0 * (moved(&at, &[(i, H)]) - moved(&at, &[(i, -H)]))
                - moved(&at, &[(i, 2.0 * H)])
                + moved(&at, &[(i, -2.0 * H)]))
                / (12.0 * H);
            rows[i][n] = -slope;
        }
        let mut step = solve(rows);
        // Uphill whatever the curvature, and never down.
        let before = f(&at);
        for _ in 0..40 {
            let next: Vec<f64> = at.iter().zip(&step).map(|(a, s)| a + s).collect();
            if f(&next) >= before - 1e-12 {
                break;
            }
            step.iter_mut().for_each(|s| *s *= 0.5);
        }
        at.iter_mut().zip(&step).for_each(|(a, s)| *a += s);
        if step.iter().all(|s| s.abs() < 1e-9) {
            break;
        }
    }
    (at, hessian)
}
