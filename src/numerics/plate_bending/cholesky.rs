//! The sparse Cholesky factorisation of a symmetric positive definite matrix, by `faer`.
//!
//! The pattern is analysed once (approximate minimum degree, supernodes), the values are factorised as often as they change.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side};

/// The upper triangle of a symmetric matrix by columns: where each column starts, and the row of each entry.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    pub(super) columns: Vec<usize>,
    pub(super) rows: Vec<usize>,
}

impl Pattern {
    fn size(&self) -> usize {
        self.columns.len() - 1
    }

    fn as_faer(&self) -> SymbolicSparseColMatRef<'_, usize> {
        SymbolicSparseColMatRef::new_checked(self.size(), self.size(), &self.columns, None, &self.rows)
    }

    /// Adds the product of the matrix with these values and a vector.
    pub(super) fn add_product(&self, values: &[f64], vector: &[f64], product: &mut [f64]) {
        for column in 0..self.size() {
            let entries = self.columns[column]..self.columns[column + 1];
            for (row, value) in self.rows[entries.clone()].iter().zip(&values[entries]) {
                product[*row] += value * vector[column];
                if *row != column {
                    product[column] += value * vector[*row];
                }
            }
        }
    }
}

/// The matrix is not positive definite, or too large for memory.
#[derive(Debug, Clone, Copy)]
pub(super) struct NotFactorised;

/// An analysed pattern and the factor of the values last given.
pub(super) struct Cholesky {
    pattern: Pattern,
    symbolic: SymbolicCholesky<usize>,
    factor: Vec<f64>,
    memory: MemBuffer,
}

impl Cholesky {
    /// Analyses the pattern.
    pub(super) fn analyse(pattern: Pattern) -> Result<Cholesky, NotFactorised> {
        let parameters = CholeskySymbolicParams {
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SUPERNODAL,
            ..CholeskySymbolicParams::default()
        };
        let symbolic = factorize_symbolic_cholesky(pattern.as_faer(), Side::Upper, SymmetricOrdering::Amd, parameters)
            .map_err(|_| NotFactorised)?;
        let factorising = symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, Default::default());
        let solving = symbolic.solve_in_place_scratch::<f64>(1, Par::Seq);
        let memory = MemBuffer::try_new(factorising.or(solving)).map_err(|_| NotFactorised)?;
        let factor = vec![0.0; symbolic.len_val()];
        Ok(Cholesky { pattern, symbolic, factor, memory })
    }

    /// The pattern that was analysed.
    pub(super) fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// Factorises the matrix with these values.
    pub(super) fn factorise(&mut self, values: &[f64]) -> Result<(), NotFactorised> {
        let matrix = SparseColMatRef::new(self.pattern.as_faer(), values);
        let stack = MemStack::new(&mut self.memory);
        self.symbolic
            .factorize_numeric_llt(
                &mut self.factor,
                matrix,
                Side::Upper,
                Default::default(),
                Par::Seq,
                stack,
                Default::default(),
            )
            .map_err(|_| NotFactorised)?;
        Ok(())
    }

    /// Solves with the factor last made; the right-hand side becomes the solution.
    pub(super) fn solve(&mut self, vector: &mut [f64]) {
        let size = vector.len();
        let factor = LltRef::<usize, f64>::new(&self.symbolic, &self.factor);
        let vector = MatMut::from_column_major_slice_mut(vector, size, 1);
        factor.solve_in_place_with_conj(Conj::No, vector, Par::Seq, MemStack::new(&mut self.memory));
    }
}
