//! Where something is, as one says it standing over the engine.

use fit::Feature;
use serde::Serialize;

/// A place seen from above, with the front of the engine at 12 o'clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceSeen {
    /// Degrees clockwise from the front.
    pub clockwise_deg: f64,
    /// Distance from the bore axis, in metres.
    pub radius_m: f64,
    /// Height above the deck, in metres; negative below.
    pub height_m: f64,
    /// The surface it is on.
    pub on: Surface,
}

/// A surface somebody can point at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// Cylinder wall below the deck.
    BoreWall,
    /// Top edge of the bore, chamfered or sharp.
    DeckEdge,
    /// Flat of the deck.
    Deck,
    /// Edge of the gasket opening.
    GasketEdge,
    /// Face of the gasket inside the chamber's outline.
    GasketFace,
    /// Upright wall of the chamber.
    ChamberWall,
    /// Wall or floor of a relief in the block.
    Relief,
    /// Piston crown, its flat, dish or dome.
    Crown,
    /// Floor or wall of a valve pocket in the crown.
    Pocket,
    /// Head of another valve.
    OtherValve,
    /// Face of the head.
    HeadFace,
    /// Edge and wall of the chamber where the crown's edge passes.
    ChamberEdge,
    /// Where no place matters.
    Anywhere,
}

impl Surface {
    /// Its name in a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::BoreWall => "bore wall",
            Self::DeckEdge => "deck edge",
            Self::Deck => "deck",
            Self::GasketEdge => "gasket edge",
            Self::GasketFace => "gasket face",
            Self::ChamberWall => "chamber wall",
            Self::Relief => "relief",
            Self::Crown => "piston crown",
            Self::Pocket => "pocket in the crown",
            Self::OtherValve => "other valve",
            Self::HeadFace => "head face",
            Self::ChamberEdge => "chamber edge",
            Self::Anywhere => "spring",
        }
    }
}

impl From<Feature> for Surface {
    fn from(feature: Feature) -> Self {
        match feature {
            Feature::BoreWall => Self::BoreWall,
            Feature::DeckEdge => Self::DeckEdge,
            Feature::Deck => Self::Deck,
            Feature::GasketEdge => Self::GasketEdge,
            Feature::GasketFace => Self::GasketFace,
            Feature::ChamberWall => Self::ChamberWall,
            Feature::Relief => Self::Relief,
        }
    }
}

impl PlaceSeen {
    /// A point of the bore frame, `x` to the front and `y` to the left.
    pub fn new([x, y, z]: [f64; 3], on: Surface) -> Self {
        let clockwise_deg = (-y.atan2(x)).to_degrees().rem_euclid(360.0);
        Self { clockwise_deg, radius_m: x.hypot(y), height_m: z, on }
    }

    /// The nearest full hour on a clock seen from above.
    pub fn clock(&self) -> u32 {
        let hour = (self.clockwise_deg / 30.0).round() as u32 % 12;
        if hour == 0 { 12 } else { hour }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_clock_from_above() {
        //        12  front, +x
        //   9 +y     3
        //         6  flywheel
        let at = |x: f64, y: f64| PlaceSeen::new([x, y, 0.0], Surface::Deck);
        assert_eq!(at(1.0, 0.0).clock(), 12);
        assert_eq!(at(0.0, 1.0).clock(), 9);
        assert_eq!(at(-1.0, 0.0).clock(), 6);
        assert_eq!(at(0.0, -1.0).clock(), 3);
        assert!((at(0.0, -1.0).clockwise_deg - 90.0).abs() < 1e-9);
    }
}
