//! Plain numbers of several variants side by side.

use gas::lane::Lane;

/// One number of each item, one item a lane; the last is repeated when there are fewer than lanes.
pub(crate) fn gather<T, L: Lane>(items: &[T], mut number: impl FnMut(&T) -> f64) -> L {
    let mut lane = 0;
    L::splat(0.0).map(|_| {
        let item = &items[lane.min(items.len() - 1)];
        lane += 1;
        number(item)
    })
}
