//! What the lanes stand for: variants side by side, or neighbouring cells of one pipe.

use super::Lane;
use std::fmt::Debug;
use std::marker::PhantomData;

/// The most cells a chunk can hold.
pub const MOST_CELLS: usize = 8;

/// How cells are laid over lanes. A *chunk* is what one lane value holds of a pipe.
pub trait Layout: Copy + Debug + Send + Sync + 'static {
    /// The number type of pipe cells.
    type Body: Lane;
    /// The number type of pipe ends, volumes, time and everything else that is not a cell.
    type End: Lane;
    /// Cells of one pipe in a chunk.
    const CELLS: usize;
    /// One cell out of a chunk.
    fn take(chunk: Self::Body, cell: usize) -> Self::End;
    /// One cell out of a chunk, read where it lies.
    fn read(chunk: &Self::Body, cell: usize) -> Self::End;
    /// A chunk of the first `CELLS` values.
    fn join(values: &[Self::End; MOST_CELLS]) -> Self::Body;
    /// The cells of a chunk, the first `CELLS` of what is returned.
    fn split(chunk: Self::Body) -> [Self::End; MOST_CELLS];
    /// A chunk with one cell replaced.
    fn put(chunk: Self::Body, cell: usize, value: Self::End) -> Self::Body;
    /// The same value for every cell of a chunk.
    fn spread(value: Self::End) -> Self::Body;
    /// The chunk made of the left neighbours of `chunk`.
    fn left_of(previous: Self::Body, chunk: Self::Body) -> Self::Body;
    /// The chunk made of the right neighbours of `chunk`.
    fn right_of(chunk: Self::Body, next: Self::Body) -> Self::Body;
    /// `chunk` with its cells from `first` on replaced.
    fn fill_from(chunk: Self::Body, first: usize, value: Self::Body) -> Self::Body;
    /// The greatest over the cells of a chunk, variants kept apart.
    fn reduce_max(chunk: Self::Body) -> Self::End;
    /// The sum over the cells of a chunk, variants kept apart; used to find what is not a number.
    fn reduce_sum(chunk: Self::Body) -> Self::End;
}

/// Each lane is another variant; a chunk is one cell of all of them.
#[derive(Clone, Copy, Debug)]
pub struct Across<L>(PhantomData<L>);

/// Each lane is the next cell of one pipe.
#[derive(Clone, Copy, Debug)]
pub struct Along<L>(PhantomData<L>);

impl<L: Lane> Layout for Across<L> {
    type Body = L;
    type End = L;
    const CELLS: usize = 1;
    #[inline(always)]
    fn take(chunk: L, _cell: usize) -> L {
        chunk
    }
    #[inline(always)]
    fn read(chunk: &L, _cell: usize) -> L {
        *chunk
    }
    #[inline(always)]
    fn join(values: &[L; MOST_CELLS]) -> L {
        values[0]
    }
    #[inline(always)]
    fn split(chunk: L) -> [L; MOST_CELLS] {
        [chunk; MOST_CELLS]
    }
    #[inline(always)]
    fn put(_chunk: L, _cell: usize, value: L) -> L {
        value
    }
    #[inline(always)]
    fn spread(value: L) -> L {
        value
    }
    #[inline(always)]
    fn left_of(previous: L, _chunk: L) -> L {
        previous
    }
    #[inline(always)]
    fn right_of(_chunk: L, next: L) -> L {
        next
    }
    #[inline(always)]
    fn fill_from(chunk: L, first: usize, value: L) -> L {
        if first == 0 { value } else { chunk }
    }
    #[inline(always)]
    fn reduce_max(chunk: L) -> L {
        chunk
    }
    #[inline(always)]
    fn reduce_sum(chunk: L) -> L {
        chunk
    }
}

impl<L: Lane> Layout for Along<L> {
    type Body = L;
    type End = f64;
    const CELLS: usize = L::N;
    #[inline(always)]
    fn take(chunk: L, cell: usize) -> f64 {
        chunk.get(cell)
    }
    #[inline(always)]
    fn read(chunk: &L, cell: usize) -> f64 {
        L::read(chunk, cell)
    }
    #[inline(always)]
    fn join(values: &[f64; MOST_CELLS]) -> L {
        L::load(values)
    }
    #[inline(always)]
    fn split(chunk: L) -> [f64; MOST_CELLS] {
        let mut values = [0.0; MOST_CELLS];
        for (cell, value) in values.iter_mut().enumerate().take(L::N) {
            *value = L::read(&chunk, cell);
        }
        values
    }
    #[inline(always)]
    fn put(chunk: L, cell: usize, value: f64) -> L {
        chunk.with(cell, value)
    }
    #[inline(always)]
    fn spread(value: f64) -> L {
        L::splat(value)
    }
    #[inline(always)]
    fn left_of(previous: L, chunk: L) -> L {
        chunk.shift_from(previous)
    }
    #[inline(always)]
    fn right_of(chunk: L, next: L) -> L {
        chunk.shift_to(next)
    }
    #[inline(always)]
    fn fill_from(chunk: L, first: usize, value: L) -> L {
        L::sel(L::lanes_from(first), value, chunk)
    }
    #[inline(always)]
    fn reduce_max(chunk: L) -> f64 {
        chunk.reduce_max()
    }
    #[inline(always)]
    fn reduce_sum(chunk: L) -> f64 {
        let mut sum = 0.0;
        for cell in 0..L::N {
            sum += chunk.get(cell);
        }
        sum
    }
}
