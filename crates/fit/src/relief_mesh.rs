//! The removed metal as a closed surface of triangles, for machines and viewers. Leaves out file formats.

use std::collections::{BTreeMap, BTreeSet};

use glam::DVec3;

/// A closed surface, its triangles counter-clockwise seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners in the frame of the cut, in metres; no two of them in one place.
    pub corners: Vec<DVec3>,
    /// Places in `corners`.
    pub triangles: Vec<[u32; 3]>,
}

/// Corners are put on a grid of this pitch, in metres, and those on one point of it are one. Single precision in
/// millimetres keeps them apart within 100 mm of the origin.
const GRID_M: f64 = 1e-8;

impl Mesh {
    /// A mesh from triangles with their corners. Corners in one place are joined; triangles that this flattens to a
    /// line, and pairs that it lays back to back, are left out, so that every edge has exactly two sides.
    pub fn joined(triangles: impl IntoIterator<Item = [DVec3; 3]>) -> Self {
        let mut mesh = Self::default();
        let mut places: BTreeMap<[i64; 3], u32> = BTreeMap::new();
        let mut kept: BTreeSet<[u32; 3]> = BTreeSet::new();
        let mut order: Vec<[u32; 3]> = Vec::new();
        for triangle in triangles {
            let place = |p: DVec3| {
                let on_grid = (p / GRID_M).round();
                let key = on_grid.to_array().map(|coordinate| coordinate as i64);
                *places.entry(key).or_insert_with(|| {
                    mesh.corners.push(on_grid * GRID_M);
                    mesh.corners.len() as u32 - 1
                })
            };
            let [a, b, c] = triangle.map(place);
            if a == b || b == c || c == a {
                continue;
            }
            let turned = from_least([a, b, c]);
            if !kept.remove(&from_least([a, c, b])) {
                kept.insert(turned);
                order.push(turned);
            }
        }
        mesh.triangles = order.into_iter().filter(|triangle| kept.remove(triangle)).collect();
        mesh
    }

    /// The enclosed volume, in cubic metres: the sum of the tetrahedra from a corner to every triangle.
    pub fn volume_m3(&self) -> f64 {
        let Some(&from) = self.corners.first() else { return 0.0 };
        let corner = |idx: u32| self.corners[idx as usize] - from;
        self.triangles.iter().map(|&[a, b, c]| corner(a).dot(corner(b).cross(corner(c))) / 6.0).sum()
    }

    /// How many edges do not have exactly two sides, walked once each way; 0 for a closed surface.
    pub fn n_open_edges(&self) -> usize {
        let mut sides: BTreeMap<[u32; 2], [usize; 2]> = BTreeMap::new();
        for &[a, b, c] in &self.triangles {
            for [from, to] in [[a, b], [b, c], [c, a]] {
                sides.entry([from.min(to), from.max(to)]).or_default()[usize::from(from < to)] += 1;
            }
        }
        sides.values().filter(|walked| **walked != [1, 1]).count()
    }
}

/// The triangle walked from its least corner.
fn from_least([a, b, c]: [u32; 3]) -> [u32; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}

/// A strip of a surface: two triangles for each cell of a grid of points, `rows[i][j]`. All grids have their
/// diagonals the same way, so that two of them that fall together do so triangle by triangle.
pub fn grid(rows: &[Vec<DVec3>], outward: bool) -> impl Iterator<Item = [DVec3; 3]> + '_ {
    rows.windows(2).flat_map(move |pair| {
        (1..pair[0].len()).flat_map(move |j| {
            let [a, b, c, d] = [pair[0][j - 1], pair[1][j - 1], pair[1][j], pair[0][j]];
            if outward { [[a, b, c], [a, c, d]] } else { [[a, c, b], [a, d, c]] }
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_tetrahedron() {
        let [o, x, y, z] = [DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::Z];
        let mesh = Mesh::joined([[o, y, x], [o, x, z], [o, z, y], [x, y, z]]);
        assert_eq!((mesh.corners.len(), mesh.n_open_edges()), (4, 0));
        assert!((mesh.volume_m3() - 1.0 / 6.0).abs() < 1e-15);
        let open = Mesh::joined([[o, y, x], [o, x, z], [o, z, y]]);
        assert_eq!(open.n_open_edges(), 3);
    }

    #[test]
    fn exact_flat_and_back_to_back_triangles_are_left_out() {
        let [o, x, y] = [DVec3::ZERO, DVec3::X, DVec3::Y];
        let mesh = Mesh::joined([[o, x, y], [o, x, x + DVec3::X * 1e-9], [y, x, o]]);
        assert!(mesh.triangles.is_empty());
    }
}
