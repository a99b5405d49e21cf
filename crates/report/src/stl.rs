//! The removed metal as STL in millimetres, in the bore frame. Leaves out units, which the format has no place for.

use fit::relief_mesh::Mesh;
use glam::DVec3;
use stl_io::{Normal, Triangle, Vertex};

/// The mesh as a binary STL file.
pub fn stl(mesh: &Mesh) -> Vec<u8> {
    let triangles: Vec<Triangle> = mesh
        .triangles
        .iter()
        .map(|corners| {
            let [a, b, c] = corners.map(|idx| mesh.corners[idx as usize] * 1e3);
            let normal = (b - a).cross(c - a).normalize_or_zero();
            Triangle {
                normal: Normal::new(single(normal)),
                vertices: [a, b, c].map(|p| Vertex::new(single(p))),
            }
        })
        .collect();
    let mut bytes = Vec::new();
    stl_io::write_stl(&mut bytes, triangles.iter()).expect("a vector takes every byte");
    bytes
}

fn single(v: DVec3) -> [f32; 3] {
    v.to_array().map(|part| part as f32)
}
