//! What is joined to what: fixed before the run, the same for all variants of a batch.

use crate::pipe::{ShapeError, Side};
use thiserror::Error;

/// What a pipe end opens to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndKind {
    /// A wall.
    Closed,
    /// Gas at rest at a given pressure and temperature: the open air, or a boost source behind its cooler.
    Source(usize),
    /// A volume of the network; several ends at one volume are a junction.
    Volume(usize),
    /// A port that the caller feeds with a state and an area and reads the flow from.
    Port(usize),
    /// Another pipe's end, with or without a change of area. The other end names this one.
    Join(usize, Side),
}

/// A pipe of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PipePlan {
    /// Its left end.
    pub left: EndKind,
    /// Its right end.
    pub right: EndKind,
}

/// Pipes, and how many sources, volumes and ports their ends name.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Plan {
    /// The pipes.
    pub pipes: Vec<PipePlan>,
    /// Number of sources.
    pub n_sources: usize,
    /// Number of volumes.
    pub n_volumes: usize,
    /// Number of ports; each belongs to one pipe end.
    pub n_ports: usize,
}

/// A plan or a state that no network can have.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NetworkError {
    /// A pipe end names something the plan does not have.
    #[error("pipe {pipe} names {what} {named}, the plan has {available}")]
    NoSuch {
        /// Which pipe.
        pipe: usize,
        /// What is named.
        what: &'static str,
        /// Its position.
        named: usize,
        /// How many there are.
        available: usize,
    },
    /// A join is not named from its other side, or a port from two ends.
    #[error("pipe {pipe}: {what} {named} is not named from exactly one place")]
    NotPaired {
        /// Which pipe.
        pipe: usize,
        /// What is named.
        what: &'static str,
        /// Its position.
        named: usize,
    },
    /// A pipe's measures.
    #[error("pipe {pipe}: {source}")]
    Shape {
        /// Which pipe.
        pipe: usize,
        /// What is wrong.
        source: ShapeError,
    },
    /// Density or pressure ran out in a pipe: the step was too long for what happened there.
    #[error("variant {lane}: density or pressure of pipe {pipe} is no longer positive")]
    PipeEmptied {
        /// Which variant.
        lane: usize,
        /// Which pipe.
        pipe: usize,
    },
    /// Mass or energy ran out in a volume.
    #[error("variant {lane}: volume {volume} is empty")]
    VolumeEmptied {
        /// Which variant.
        lane: usize,
        /// Which volume.
        volume: usize,
    },
    /// A packed state of the wrong length.
    #[error("packed state of {given} numbers, needs {needed}")]
    PackedLength {
        /// As given.
        given: usize,
        /// As needed.
        needed: usize,
    },
}

impl Plan {
    /// Refuses ends that lead nowhere.
    pub fn check(&self) -> Result<(), NetworkError> {
        let mut named_ports = vec![0; self.n_ports];
        for (pipe, plan) in self.pipes.iter().enumerate() {
            for (side, end) in [(Side::Left, plan.left), (Side::Right, plan.right)] {
                let (what, named, available) = match end {
                    EndKind::Closed => continue,
                    EndKind::Source(i) => ("source", i, self.n_sources),
                    EndKind::Volume(i) => ("volume", i, self.n_volumes),
                    EndKind::Port(i) => ("port", i, self.n_ports),
                    EndKind::Join(i, _) => ("pipe", i, self.pipes.len()),
                };
                if named >= available {
                    return Err(NetworkError::NoSuch { pipe, what, named, available });
                }
                match end {
                    EndKind::Port(i) => named_ports[i] += 1,
                    EndKind::Join(other, other_side) => {
                        let back = match other_side {
                            Side::Left => self.pipes[other].left,
                            Side::Right => self.pipes[other].right,
                        };
                        if back != EndKind::Join(pipe, side) || (other, other_side) == (pipe, side) {
                            return Err(NetworkError::NotPaired { pipe, what, named });
                        }
                    }
                    _ => {}
                }
                if let EndKind::Port(i) = end
                    && named_ports[i] > 1
                {
                    return Err(NetworkError::NotPaired { pipe, what, named });
                }
            }
        }
        Ok(())
    }
}
